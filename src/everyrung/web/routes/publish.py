"""The Publish screen: everything that participants and a channel need, made in the background, taken file by file."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import QueryParams
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, Response
from starlette.routing import Route

from everyrung.pipeline import AudienceSpec
from everyrung.publish.calendar import series_of
from everyrung.publish.folder.contents import STATE, FolderState, folder_state
from everyrung.publish.registry import registry
from everyrung.store.files import latest_edition
from everyrung.store.sessions import Revision
from everyrung.terms.errors import Faults, Invalid
from everyrung.voice import engine, natural
from everyrung.web.field_words import refusals
from everyrung.web.jobs import Job, WeeklySeries
from everyrung.web.pages import is_part, page, unreadable
from everyrung.web.person_form import people_and_numbers
from everyrung.web.security import read_form
from everyrung.web.studio import Studio, studio_of

FIELDS = ("starts", "zone", "weeks", "place", "people", "voice", "also", "go")
GONE = "This file is not there any more. Publish the session again."
USUAL_WEEKS = 6  # chosen, because it is what the command line takes


def _form_values(query: QueryParams) -> dict[str, str]:
    fields = {name: query.get(name, "").strip()[:100] for name in FIELDS}
    return fields | {"also": ",".join(query.getlist("also"))}


def _also(fields: Mapping[str, str]) -> tuple[str, ...]:
    """The outputs on request that are ticked and that there are."""
    names = fields["also"].split(",")
    return tuple(output.name for output in registry().on_request if output.name in names)


async def show(request: Request) -> Response:
    """What is wanted, how far it is, and the files."""
    studio = studio_of(request)
    head = studio.sessions.head(request.path_params["session"])
    return await run_in_threadpool(_show, request, studio, head, _form_values(request.query_params))


def _show(request: Request, studio: Studio, head: Revision, fields: dict[str, str]) -> Response:
    try:
        run = studio.run(head.text)
    except Faults as faults:
        return unreadable(request, head, faults)
    content: dict[str, Any] = {
        "head": head, "wanted": fields, "listed": studio.people.count(), "computed": None, "progress": None,
        "pending": False, "problem": "", "query": urlencode(fields),
        "usual_weeks": USUAL_WEEKS, "standing": _standing(studio, head.session),
        "can_speak": engine.available() or natural.available(), "outputs": registry(), "also": _also(fields),
    }  # fmt: skip
    try:
        job = _job(studio, head, fields)
        if job.series:
            series_of(run.session, job.series.starts, job.series.zone, job.series.weeks, job.series.place)
    except Invalid as problem:
        return page(request, "publish.html", 422, **content | {"problem": refusals(problem)[0]})
    if fields["go"]:
        studio.jobs.submit(f"publish/{head.session}", job)
        result = studio.jobs.result(job.key)
        content |= {"computed": result, "progress": studio.jobs.progress(job.key)}
        content["pending"] = not (result and result.finished)
    return page(request, "_publish.html" if is_part(request) else "publish.html", **content)


def _folder(studio: Studio, session: str) -> Path:
    return studio.settings.folder / "published" / session


def _standing(studio: Studio, session: str) -> FolderState | None:
    """How far a making has come that was stopped."""
    folder = latest_edition(_folder(studio, session), STATE)
    return folder_state(folder) if folder else None


def _job(studio: Studio, head: Revision, fields: dict[str, str]) -> Job:
    people, numbers = people_and_numbers(studio.people) if fields["people"] else ((), {})
    weeks = fields["weeks"] or str(USUAL_WEEKS)
    if not weeks.isdecimal() or len(weeks) > 3:
        raise Invalid("weeks", "a whole number", weeks)
    starts = fields["starts"].replace("T", " ")
    weekly = (
        WeeklySeries(starts=starts, zone=fields["zone"], weeks=int(weeks), place=fields["place"]) if starts else None
    )
    folder = _folder(studio, head.session)
    return studio.job(
        head.text, AudienceSpec(people=people), numbers=numbers, publish_folder=folder, series=weekly,
        voice=bool(fields["voice"]), also=_also(fields), **studio.in_room(head.session),
    )  # fmt: skip


async def one(request: Request) -> Response:
    """One of the files, by its number in the list."""
    studio = studio_of(request)

    def render() -> Response:
        head = studio.sessions.head(request.path_params["session"])
        job = _job(studio, head, _form_values(request.query_params))
        result, at = studio.jobs.result(job.key), request.path_params["at"]
        if not (result and result.folder) or at >= len(result.files):
            raise HTTPException(404, GONE)
        path = result.folder / result.files[at][0]
        if not path.is_file():
            raise HTTPException(404, GONE)
        return FileResponse(path, filename=path.name)

    return await run_in_threadpool(render)


async def stop(request: Request) -> Response:
    """Gives it up."""
    await read_form(request)
    studio_of(request).jobs.cancel(f"publish/{request.path_params['session']}")
    there = await run_in_threadpool(_standing, studio_of(request), request.path_params["session"])
    return page(request, "_stopped.html", place="published", standing=there)


PATH = "/session/{session}/publish"
ROUTES = [
    Route(PATH, show),
    Route(f"{PATH}/stop", stop, methods=["POST"]),
    Route(f"{PATH}/file/{{at:int}}", one),
]
