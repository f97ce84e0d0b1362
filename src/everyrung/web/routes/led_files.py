"""What there is of a show, brought in on the Look back screen: a recording where it lies, files, answers."""

import re
import secrets
from collections.abc import Mapping
from datetime import datetime
from pathlib import Path, PurePath
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from everyrung.store.led_sources import ONE_ONLY, SourceKind
from everyrung.store.session_log import SessionLog
from everyrung.terms.errors import Faults, Invalid
from everyrung.web.field_words import refusals
from everyrung.web.led_answers import keep_answers
from everyrung.web.pages import say
from everyrung.web.recordings import SUFFIXES, recordings_of
from everyrung.web.routes.look_back import show_page
from everyrung.web.routes.shows import PATH, show_row
from everyrung.web.security import decode_text, is_at_the_machine, read_form, read_form_and_file
from everyrung.web.show_film import forget_film
from everyrung.web.studio import studio_of

NO_STAGE = '{"events": []}'


async def begin(request: Request) -> Response:
    """A show that no stage wrote down: its day and time."""
    form, studio = await read_form(request), studio_of(request)
    head = studio.sessions.head(request.path_params["session"])
    try:
        started_ms = round(datetime.fromisoformat(form.get("when", "")).astimezone().timestamp() * 1000)
    except (ValueError, OverflowError, OSError):
        raise HTTPException(422, "Give the day and time it began, such as 2026-11-30 18:30.") from None
    if not 0 < started_ms < 2**45:
        raise HTTPException(422, "Check the year.")
    log = SessionLog(
        id=f"hand-{secrets.token_hex(8)}",
        session=head.session,
        revision=head.number,
        started_ms=started_ms,
        log=NO_STAGE,
    )
    await run_in_threadpool(studio.session_logs.keep, log)
    return RedirectResponse(f"/session/{head.session}/led/{log.id}#bring", 303)


async def recording(request: Request) -> Response:
    """Where a recording lies, on the machine on which the studio runs."""
    return await run_in_threadpool(_recording, request, await read_form(request))


def _recording(request: Request, form: Mapping[str, str]) -> Response:
    studio = studio_of(request)
    log = show_row(studio, request)
    if not is_at_the_machine(request, studio.settings):
        return show_page(
            request, "A recording is chosen at the machine on which the studio runs: the file stays there."
        )
    words = form.get("path", "").strip().strip('"').strip("'")
    path = Path(words).expanduser() if words else None
    if path is None or "\0" in words or not path.is_absolute():
        return show_page(request, "Give the full path of the recording, such as /home/you/Videos/monday.mp4.")
    try:
        if path.is_dir():
            if not recordings_of(path):
                return show_page(request, f"There is no recording in {path}; expected one of {', '.join(SUFFIXES)}.")
            return show_page(request, "", folder=path)
        if not path.is_file():
            return show_page(request, f"There is no file {path}.")
    except OSError as problem:
        return show_page(request, f"{path} can't be looked at: {problem.strerror}.")
    studio.led_sources.add(log.id, SourceKind.RECORDING, path.name, str(path).encode())
    return _to(request, log, "The recording is read where it is; it is neither copied nor sent")


async def transcript(request: Request) -> Response:
    """What was said, as a file."""
    _, file = await read_form_and_file(request)
    return await run_in_threadpool(_transcript, request, file)


def _transcript(request: Request, file: tuple[str, bytes] | None) -> Response:
    from everyrung.lookback.read import transcript_from_bytes

    studio = studio_of(request)
    log = show_row(studio, request)
    if file is None:
        return show_page(request, "Choose a transcript: captions (.vtt, .srt), words as JSON, or text with times.")
    name = PurePath(file[0]).name[:100]
    try:
        transcript_from_bytes(file[1], name)
    except (Faults, Invalid) as problem:
        return show_page(request, " ".join(refusals(problem)))
    studio.led_sources.add(log.id, SourceKind.TRANSCRIPT, name, file[1])
    return _to(request, log, "The transcript is kept, sealed, with this show")


async def heart(request: Request) -> Response:
    """One person's heart rate, as a file."""
    form, file = await read_form_and_file(request)
    return await run_in_threadpool(_heart, request, form, file)


def _heart(request: Request, form: Mapping[str, str], file: tuple[str, bytes] | None) -> Response:
    from everyrung.lookback.heart_file import heart_from_bytes

    studio = studio_of(request)
    log = show_row(studio, request)
    if file is None:
        return show_page(request, "Choose a heart-rate file: FIT, TCX or GPX.")
    name, zone = PurePath(file[0]).name[:100], form.get("zone", "").strip()
    try:
        if zone and not re.fullmatch(r"[A-Za-z0-9_+/-]{1,50}", zone):
            raise Invalid("zone", "a zone such as Europe/Helsinki", zone)
        heart_from_bytes(file[1], name, ZoneInfo(zone) if zone else None)
    except Invalid as problem:
        return show_page(request, " ".join(refusals(problem)))
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return show_page(request, f"There is no time zone {zone!r}; expected one such as Europe/Helsinki.")
    limits_rate = form.get("medicine") == "yes"
    studio.led_sources.add(
        log.id, SourceKind.HEART, name, file[1], person=_number(form), zone=zone, limits_rate=limits_rate
    )
    return _to(request, log, "The heart rate is kept, sealed, with this show")


async def answers(request: Request) -> Response:
    """What people answered, as a form's spreadsheet or a player's file."""
    form, file = await read_form_and_file(request)
    return await run_in_threadpool(_answers, request, form, file)


def _answers(request: Request, form: Mapping[str, str], file: tuple[str, bytes] | None) -> Response:
    studio = studio_of(request)
    log = show_row(studio, request)
    if file is None:
        return show_page(request, "Choose a spreadsheet saved as CSV, or the file that a player gave.")
    try:
        kept_answers = keep_answers(studio, log, decode_text(file[1]), PurePath(file[0]).name[:100], _number(form))
    except (Faults, Invalid) as problem:
        return show_page(request, " ".join(refusals(problem)))
    count = f"{kept_answers.new} {'answer' if kept_answers.new == 1 else 'answers'}"
    return _to(request, log, f"{count} written down, {kept_answers.old} there already", "answers")


def _number(form: Mapping[str, str]) -> int:
    """Of the person whose a file is; 0 for nobody's on the list."""
    whose = form.get("whose", "")
    return int(whose) if whose.isdecimal() and len(whose) < 9 else 0


async def remove(request: Request) -> Response:
    """One of them, with what was computed from it."""
    await read_form(request)
    studio = studio_of(request)

    def forget() -> Response:
        log = show_row(studio, request)
        kind = {each.id: each.kind for each in studio.led_sources.of(log.id)}.get(request.path_params["source"])
        studio.led_sources.remove(log.id, request.path_params["source"])
        studio.jobs.forget_people()
        studio.trials.forget_people()
        if kind in ONE_ONLY:  # recording or transcript: the film was made from them
            forget_film(studio.settings.folder, log.id)
        if studio.backups:
            with studio.backups.alone:
                line = "DELETE FROM led_source WHERE led_id = ? AND id = ?"
                studio.backups.erase([(line, (log.id, request.path_params["source"]))])
        return _to(request, log, "Deleted from this show, and from the backups")

    return await run_in_threadpool(forget)


def _to(request: Request, log: SessionLog, words: str, place: str = "bring") -> Response:
    say(request, words)
    return RedirectResponse(f"/session/{log.session}/led/{log.id}#{place}", 303)


ROUTES = [
    Route(f"{PATH}/led", begin, methods=["POST"]),
    Route(f"{PATH}/led/{{log}}/recording", recording, methods=["POST"]),
    Route(f"{PATH}/led/{{log}}/transcript", transcript, methods=["POST"]),
    Route(f"{PATH}/led/{{log}}/heart", heart, methods=["POST"]),
    Route(f"{PATH}/led/{{log}}/answers", answers, methods=["POST"]),
    Route(f"{PATH}/led/{{log}}/files/{{source:int}}/remove", remove, methods=["POST"]),
]
