"""The Lead screen: getting ready, the stage, the leader's prompter, and the phone that steers."""

import re
import secrets
from collections.abc import Mapping
from math import ceil
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, Response
from starlette.routing import Route, WebSocketRoute
from starlette.websockets import WebSocket, WebSocketDisconnect

from everyrung.moves.own_moves import own_files
from everyrung.pipeline import AudienceSpec
from everyrung.publish.stage import LOOKS, RUN_SHEET
from everyrung.store.digest import digest
from everyrung.store.files import latest_edition
from everyrung.store.sessions import Revision
from everyrung.terms.errors import Faults
from everyrung.terms.session import Session
from everyrung.terms.timeline import Track
from everyrung.web.jobs import Job
from everyrung.web.pages import is_part, page, unreadable
from everyrung.web.person_form import people_and_numbers
from everyrung.web.person_ways import PersonWay, person_ways
from everyrung.web.routes.cards import cards_job
from everyrung.web.routes.entry import let_in
from everyrung.web.routes.shows import log_summary
from everyrung.web.security import read_form
from everyrung.web.stage_hub import MOST_SCREENS, Role, Standing
from everyrung.web.studio import Studio, studio_of
from everyrung.web.who_takes import WhoTakes, who_takes

SETTING = re.compile(r"[0-9]{1,9}-[0-9a-f]{8}")
REFUSED = 4403  # a websocket code of our own
FIGURE = re.compile(r"[0-9a-f]{1,12}")  # a key of a figure
ENDINGS = {"still": "svg", "motion": "json"}
TYPES = {"svg": "image/svg+xml", "json": "application/json"}
PHONE = "phone"  # of the cookie: the token of a phone that was paired, one for all sessions


def setting_of(studio: Studio, head: Revision) -> str:
    """The name of a stage: the version, and the coach's own cues and the room as they are now."""
    return f"{head.number}-{digest(studio.own_cues.all(), own_files(), studio.in_room(head.session))[:8]}"


def stage_folder(studio: Studio, session: str, setting: str) -> Path:
    return studio.settings.folder / "stage" / session / setting


def _job(studio: Studio, head: Revision) -> Job:
    folder = stage_folder(studio, head.session, setting_of(studio, head))
    return studio.job(head.text, AudienceSpec(), stage_folder=folder, **studio.in_room(head.session))


async def ready(request: Request) -> Response:
    """What the stage needs is written to its folder; then it can be opened, and a phone paired."""
    studio = studio_of(request)
    return await run_in_threadpool(_ready, request, studio, studio.sessions.head(request.path_params["session"]))


def _ready(request: Request, studio: Studio, head: Revision) -> Response:
    try:
        run = studio.run(head.text)
    except Faults as faults:
        return unreadable(request, head, faults)
    job = _job(studio, head)
    studio.jobs.submit(f"stage/{head.session}", job)
    result = studio.jobs.result(job.key)
    content: dict[str, Any] = {
        "head": head, "run": run, "computed": result, "progress": studio.jobs.progress(job.key),
        "pending": not (result and result.finished),
        "code": studio.pairings.code(head.session), "phones": studio.pairings.count(head.session),
        "led": [log_summary(each) for each in studio.session_logs.of(head.session)[:10]], "tracks": list(Track),
        "address": studio.settings.address,
        "ways": () if is_part(request) else _ways(studio, run.session),
    }  # fmt: skip
    return page(request, "_lead.html" if is_part(request) else "lead.html", **content)


def _ways(studio: Studio, session: Session) -> tuple[PersonWay, ...]:
    """Who does something else; of people whose answers are locked on this machine, none: the stage needs none."""
    try:
        people, _ = people_and_numbers(studio.people)
    except Faults:
        people = ()
    return person_ways(session, studio.library, people)


def _set(studio: Studio, request: Request) -> tuple[Revision, str, Path]:
    """The version, the name and the folder of the stage that the address names, so that an edit meanwhile stops no
    show; without a name, of the session as it is now. Raises HTTPException while it is not there.
    """
    session, of = request.path_params["session"], request.query_params.get("of", "")
    if SETTING.fullmatch(of):
        head, setting = studio.sessions.revision(session, int(of.partition("-")[0])), of
    else:
        head = studio.sessions.head(session)
        setting = setting_of(studio, head)
    folder = latest_edition(stage_folder(studio, session, setting), RUN_SHEET)
    if folder is None:
        raise HTTPException(404, "The stage is not ready. Open Lead, and wait until it is.")
    return head, setting, folder


async def stage(request: Request) -> Response:
    """The stage itself."""
    head, setting, _ = await run_in_threadpool(_set, studio_of(request), request)
    track = request.query_params.get("track", "")
    speed = request.query_params.get("speed", "")
    return page(
        request, "stage.html", head=head, setting=setting,
        track=track if track in [str(each) for each in Track] else str(Track.FIRST),
        speed=speed if speed.isdecimal() and 1 <= int(speed[:3]) <= 120 else "1",
    )  # fmt: skip


async def prompter(request: Request) -> Response:
    """The leader's own view: her words, what comes, and the same controls; it shows what the stage tells it."""
    head = await run_in_threadpool(studio_of(request).sessions.head, request.path_params["session"])
    return page(request, "prompter.html", head=head)


async def remote(request: Request) -> Response:
    """A phone that steers, once it is paired."""
    studio = studio_of(request)
    head = await run_in_threadpool(studio.sessions.head, request.path_params["session"])
    is_paired = await run_in_threadpool(_is_paired, studio, head.session, request.session)
    return page(request, "remote.html", head=head, paired=is_paired)


def _is_paired(studio: Studio, session: str, cookie: Mapping[str, Any]) -> bool:
    phone = cookie.get(PHONE, "")
    return bool(phone) and studio.pairings.is_paired(session, phone)


async def pair(request: Request) -> Response:
    """The code is looked at, slower after each wrong one from the same address; the right one makes this phone's own
    token, in its cookie, so that it needs no code again.
    """
    form, studio = await read_form(request), studio_of(request)
    session, address = request.path_params["session"], request.client.host if request.client else ""
    wait_s = await run_in_threadpool(studio.wrong_codes.wait_s, address)
    if wait_s:
        return Response(status_code=429, headers={"Retry-After": str(ceil(wait_s))})
    code = await run_in_threadpool(studio.pairings.code, session)
    if not await run_in_threadpool(studio.wrong_codes.right, address, form.get("code", "").strip(), code):
        wait_s = await run_in_threadpool(studio.wrong_codes.wait_s, address)
        return Response(status_code=403, headers={"Retry-After": str(ceil(wait_s))})
    phone = request.session.setdefault(PHONE, secrets.token_urlsafe(32))
    await run_in_threadpool(studio.pairings.pair, session, phone)
    return Response(status_code=204)


async def unpair(request: Request) -> Response:
    """No phone steers this session any more; the code is another one."""
    await read_form(request)
    studio, session = studio_of(request), request.path_params["session"]
    await run_in_threadpool(studio.pairings.revoke, session)
    await (await studio.shows.find(session)).unpair(REFUSED)
    return await ready(request)


async def part(request: Request) -> Response:
    """A still or a motion; by key, so that no name from outside becomes a path."""
    *_, folder = await run_in_threadpool(_set, studio_of(request), request)
    kind, name = request.path_params["kind"], request.path_params["name"]
    ending = ENDINGS.get(kind)
    path = folder / f"{kind}-{name}.{ending}"
    if ending is None or not FIGURE.fullmatch(name) or not path.is_file():
        raise HTTPException(404, "There is no such picture.")
    return FileResponse(path, media_type=TYPES[ending])


async def run_sheet(request: Request) -> Response:
    """What the stage reads."""
    *_, folder = await run_in_threadpool(_set, studio_of(request), request)
    return FileResponse(folder / RUN_SHEET, media_type="application/json")


async def looks(request: Request) -> Response:
    """What it needs besides: tones, and which figures there are."""
    *_, folder = await run_in_threadpool(_set, studio_of(request), request)
    return FileResponse(folder / LOOKS, media_type="application/json")


async def who(request: Request) -> Response:
    """Who takes which version, by initials, as their cards of this version of the session say; {} without cards."""
    return JSONResponse(await run_in_threadpool(_who, request), headers={"Cache-Control": "no-store"})


def _who(request: Request) -> WhoTakes:
    studio = studio_of(request)
    head, *_ = _set(studio, request)
    for in_room in (True, False):
        result = studio.jobs.result(cards_job(studio, head, in_room=in_room).key)
        if result and result.advice:
            return who_takes(result.advice)
    return {}


async def stop(request: Request) -> Response:
    """The stage is not set after all."""
    await read_form(request)
    studio_of(request).jobs.cancel(f"stage/{request.path_params['session']}")
    return page(request, "_stopped.html", place="lead")


async def live(socket: WebSocket) -> None:
    """The line between stage, prompter and remote."""
    studio, session = socket.app.state.studio, socket.path_params["session"]
    role = socket.query_params.get("as", "")
    origin = urlsplit(socket.headers.get("origin", "")).netloc
    is_known = let_in(studio.settings, socket.scope)
    if origin != socket.headers.get("host", "") or not is_known or role not in list(Role):
        await socket.close(REFUSED)
        return
    await run_in_threadpool(studio.sessions.head, session)
    show = await studio.shows.find(session)
    if (role != Role.REMOTE and not socket.session.get("token")) or len(show.screens) >= MOST_SCREENS:
        await socket.close(REFUSED)
        return
    await socket.accept()
    if role == Role.REMOTE and not await run_in_threadpool(_is_paired, studio, session, socket.session):
        await socket.close(REFUSED)  # only a line that was open can say why it was closed
        return
    stands = socket.query_params.get("stands", "")
    try:
        await show.join(socket, Role(role), Standing(stands) if stands in list(Standing) else Standing.NEW)
        while True:
            text = await socket.receive_text()
            if not let_in(studio.settings, socket.scope):  # since somebody left, or changed the passphrase
                await socket.close(REFUSED)
                return
            await show.hear(socket, text)
    except (WebSocketDisconnect, RuntimeError, KeyError):
        pass  # gone, or it spoke in bytes
    finally:
        await show.leave(socket)


PATH = "/session/{session}"
ROUTES = [
    Route(f"{PATH}/lead", ready),
    Route(f"{PATH}/lead/stop", stop, methods=["POST"]),
    Route(f"{PATH}/lead/unpair", unpair, methods=["POST"]),
    Route(f"{PATH}/stage", stage),
    Route(f"{PATH}/stage/{RUN_SHEET}", run_sheet),
    Route(f"{PATH}/stage/{LOOKS}", looks),
    Route(f"{PATH}/stage/{{kind}}/{{name}}", part),
    Route(f"{PATH}/prompter", prompter),
    Route(f"{PATH}/who.json", who),
    Route(f"{PATH}/remote", remote, methods=["GET"]),
    Route(f"{PATH}/remote", pair, methods=["POST"]),
]
LIVE = [WebSocketRoute(f"{PATH}/live", live)]
