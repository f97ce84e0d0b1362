"""What was really led: the log as it comes, notes on it, taking it out, forgetting it with all that there is of it."""

import json
from collections.abc import Mapping
from contextlib import nullcontext
from itertools import pairwise
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from everyrung.lookback.plan_sets import plan_sets
from everyrung.lookback.show import Show, lay_log_on_plan
from everyrung.lookback.show_report import show_csv
from everyrung.lookback.stage_log import StageLog, event_values, stage_events, stage_log_text
from everyrung.store.backups import Deletion
from everyrung.store.session_log import SessionLog
from everyrung.store.sessions import NotFound
from everyrung.terms.errors import Faults, Invalid
from everyrung.timing.branches import branches
from everyrung.web.field_words import refusals
from everyrung.web.history_rows import history_rows, studio_history
from everyrung.web.led_sets import led_records, not_there_yet
from everyrung.web.pages import say
from everyrung.web.security import read_form
from everyrung.web.show_film import forget_film
from everyrung.web.studio import Studio, studio_of

MOST_LOG = 500_000  # signs; chosen, because a long evening with a press a second is less
MOST_NOTES = 4_000  # signs; chosen, because nobody writes more after a class
PATH = "/session/{session}"


async def keep(request: Request) -> Response:
    """What was really done so far; sent again and again, each time whole."""
    form, studio = await read_form(request), studio_of(request)
    await run_in_threadpool(_keep, studio, _log(request.path_params["session"], form))
    return Response(status_code=204)


def _keep(studio: Studio, log: SessionLog) -> None:
    """The log, and in the history the sets that were led by it and are not there yet."""
    studio.session_logs.keep(log)
    try:
        text = studio.sessions.revision(log.session, log.revision).text
        records = led_records(studio.on_clock(text).session, log)
    except (Faults, NotFound):
        return  # led all the same: the log is kept
    if records:
        new = not_there_yet(records, studio_history(studio, records[0].on))
        studio.history.add(history_rows(studio, new))


def _log(session: str, form: Mapping[str, str]) -> SessionLog:
    text, name = form.get("log", ""), form.get("id", "")
    if not name or len(name) > 40 or not name.isascii() or not name.replace("-", "").isalnum():
        raise Invalid("id", "a log's name of letters and digits", name[:50])
    try:
        events = stage_events(json.loads(text[:MOST_LOG])["events"])
        revision = int(form.get("revision", ""))
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError, OverflowError):
        raise Invalid("log", "a stage's log", text[:60]) from None
    if not events or not 0 < revision < 2**31:
        raise Invalid("log", "a stage's log with something in it", text[:60])
    values = json.dumps({"events": event_values(events)})
    return SessionLog(id=name, session=session, revision=revision, started_ms=events[0].wall_ms, log=values)


def log_summary(log: SessionLog) -> dict[str, Any]:
    """What a log comes to: how long it took, how often it was paused, skipped and cut."""
    events = json.loads(log.log)["events"]
    counts = {what: sum(each["what"] == what for each in events) for what in ("pause", "skip", "back", "end")}
    cut = sum({"cut": 1, "undo": -1}.get(each["what"], 0) for each in events)
    return {
        "id": log.id, "started_ms": log.started_ms, "revision": log.revision, "length_ms": _length_ms(events),
        "cut": cut, **counts,
    }  # fmt: skip


def _length_ms(events: list[dict[str, Any]]) -> int:
    """From the first to the last on the wall, less the time that no stage was open; whole seconds."""
    steps = [(before["wall_ms"], after["wall_ms"]) for before, after in pairwise(events) if after["what"] != "again"]
    seconds: int = round(sum(after - before for before, after in steps) / 1000)
    return 1000 * seconds


def show_row(studio: Studio, request: Request) -> SessionLog:
    """The log that the address names. Raises HTTPException for one that is not."""
    logs = studio.session_logs.of(request.path_params["session"])
    for each in logs:
        if each.id == request.path_params["log"]:
            return each
    raise HTTPException(404, "There is no such show. Lead lists those that there are.")


def _stage_log(studio: Studio, log: SessionLog) -> StageLog:
    """Raises Invalid for a show that never began, or that no stage wrote down."""
    revision = studio.sessions.revision(log.session, log.revision)
    events = stage_events(json.loads(log.log)["events"])
    return StageLog(title=revision.title, revision=log.revision, events=events, notes=log.notes)


def beside_plan(studio: Studio, log: SessionLog) -> Show:
    """Beside the plan as it was then. Raises Faults or Invalid."""
    analysis = studio.on_clock(studio.sessions.revision(log.session, log.revision).text)
    sets = plan_sets(analysis.session, analysis.timeline)
    return lay_log_on_plan(_stage_log(studio, log), sets, branches(analysis.session))


async def note(request: Request) -> Response:
    """Her notes on a show, in place of those before."""
    form, studio = await read_form(request), studio_of(request)
    session, name = request.path_params["session"], request.path_params["log"]
    await run_in_threadpool(studio.session_logs.note, session, name, form.get("notes", "")[:MOST_NOTES].strip())
    say(request, "The notes are kept")
    return RedirectResponse(f"/session/{session}/led/{name}", 303)


async def remove(request: Request) -> Response:
    """A show is forgotten: its log and notes, in the database and its backups."""
    await read_form(request)
    studio, session = studio_of(request), request.path_params["session"]
    await run_in_threadpool(_remove, studio, session, request.path_params["log"])
    say(request, "The show is deleted, and from the backups")
    return RedirectResponse(f"/session/{session}/lead", 303)


def _remove(studio: Studio, session: str, name: str) -> None:
    """With what was computed of it, which names people and their words."""
    with studio.backups.alone if studio.backups else nullcontext():
        studio.session_logs.remove(session, name)
        studio.jobs.forget_people()
        studio.trials.forget_people()
        forget_film(studio.settings.folder, name)
        if studio.backups:
            lines: list[Deletion] = [
                ("DELETE FROM led_source WHERE led_id = ?", (name,)),
                ("DELETE FROM led WHERE id = ?", (name,)),
            ]
            studio.backups.erase(lines)


async def take_out(request: Request) -> Response:
    """As a file: .json for `everyrung review`, .csv for a spreadsheet."""
    return await run_in_threadpool(_take_out, request)


def _take_out(request: Request) -> Response:
    studio, kind = studio_of(request), request.path_params["kind"]
    log = show_row(studio, request)
    try:
        if kind == "json":
            content, media = stage_log_text(_stage_log(studio, log)), "application/json"
        elif kind == "csv":
            content, media = show_csv(beside_plan(studio, log)), "text/csv"
        else:
            raise HTTPException(404, "A show can be taken out as json or as csv.")
    except (Faults, Invalid) as problem:
        raise HTTPException(422, " ".join(refusals(problem))) from None
    headers = {"Content-Disposition": f'attachment; filename="led-{log.revision}.{kind}"'}
    return Response(content.encode(), media_type=media, headers=headers)


ROUTES = [
    Route(f"{PATH}/log", keep, methods=["POST"]),
    Route(f"{PATH}/led/{{log}}/led.{{kind}}", take_out),
    Route(f"{PATH}/led/{{log}}/notes", note, methods=["POST"]),
    Route(f"{PATH}/led/{{log}}/delete", remove, methods=["POST"]),
]
