"""The Rehearse screen: a session before its audience, and what a changed load or rung does to it."""

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from everyrung.checks.cells import every_cell
from everyrung.effort.mix import mix_names, read_mix
from everyrung.effort.uncertainty import how_good, unsure_limiters
from everyrung.results.analysis import Analysis
from everyrung.store.sessions import Conflict, Revision
from everyrung.terms.errors import Faults, Invalid
from everyrung.web.audience import COUNTS, KNOWN, Audience, audience, audience_spec
from everyrung.web.cell_panel import panel_of
from everyrung.web.edit_form import base_of, edit_from
from everyrung.web.field_words import refusals
from everyrung.web.in_room import room_says
from everyrung.web.jobs import Job, JobResult
from everyrung.web.pages import is_part, page, unreadable
from everyrung.web.rehearsal import effort_band, gives_out, on_figures, rows
from everyrung.web.save import Clash, change
from everyrung.web.security import read_form
from everyrung.web.studio import Studio, studio_of


@dataclass(frozen=True, slots=True, kw_only=True)
class RehearsalQuery:
    """What the address asks for: an audience, the set that is open, the version to compare with."""

    who: Audience
    open: str
    against: int

    def query(self, **other: object) -> str:
        """The address's own words, some changed."""
        return urlencode({**_fields(self), **other})


def _fields(query: RehearsalQuery) -> dict[str, object]:
    who = query.who
    fields = {"mix": who.mix, "count": who.count, "known": who.known, "open": query.open, "against": query.against}
    return {name: value for name, value in fields.items() if value}


def _query_of(fields: Mapping[str, str]) -> RehearsalQuery:
    against = fields.get("against", "")
    number = int(against) if against.isdecimal() and len(against) < 10 else 0
    return RehearsalQuery(who=audience(fields), open=fields.get("open", ""), against=number)


async def show(request: Request) -> Response:
    """The screen, or, for its own script, how far it is."""
    studio, query = studio_of(request), _query_of(request.query_params)
    head = studio.sessions.head(request.path_params["session"])
    return await run_in_threadpool(_screen, request, studio, head, query)


def _screen(
    request: Request,
    studio: Studio,
    head: Revision,
    query: RehearsalQuery,
    clash: Clash | None = None,
    problem: str = "",
) -> Response:
    try:
        run = studio.run(head.text)
    except Faults as faults:
        return unreadable(request, head, faults)
    content = {**_now(studio, head, run, query), **_choices(studio), "clash": clash, "problem": problem}
    status = 409 if clash else 422 if problem else 200
    return page(request, "_rehearsal.html" if is_part(request) else "rehearse.html", status, **content)


def _choices(studio: Studio) -> dict[str, Any]:
    return {
        "mixes": [(name, read_mix(name).title) for name in mix_names()],
        "counts": COUNTS,
        "knowns": KNOWN,
        "listed": studio.people.count(),
    }


def _now(studio: Studio, head: Revision, run: Analysis, query: RehearsalQuery) -> dict[str, Any]:
    job = studio.job(head.text, audience_spec(query.who, studio.people))
    result = _result_so_far(studio, f"rehearse/{head.session}", job)
    before = _before(studio, head, query, job)
    return {
        "head": head,
        "run": run,
        "asked": query,
        "computed": result,
        "room": room_says(studio, head),
        "progress": studio.jobs.progress(job.key),
        "pending": not (result and result.finished),
        "panel": panel_of(studio, run, query.open),
        **(_pictures(studio, run, result, before, query) if result and result.forecast else {}),
    }


def _result_so_far(studio: Studio, place: str, job: Job) -> JobResult | None:
    studio.jobs.submit(place, job)
    return studio.jobs.result(job.key)


def _before(studio: Studio, head: Revision, query: RehearsalQuery, job: Job) -> JobResult | None:
    """The version before a change, before the same people."""
    if not query.against or query.against == head.number:
        return None
    old = studio.sessions.revision(head.session, query.against)
    return _result_so_far(studio, f"rehearse-before/{head.session}", studio.job(old.text, job.audience))


def _pictures(
    studio: Studio, run: Analysis, result: JobResult, before: JobResult | None, query: RehearsalQuery
) -> dict[str, Any]:
    forecast = result.forecast
    assert forecast is not None
    table = rows(run, forecast, before.forecast if before else None)
    open_row = next((row for row in table if str(row.ref) == query.open), None)
    whole = gives_out(run, forecast)
    return {
        "forecast": forecast,
        "before": before.forecast if before else None,
        "table": table,
        "opened": open_row,
        "chart": effort_band(run, forecast),
        "whole": whole,
        "unsure": unsure_limiters(),
        "how_good": how_good(),
        "names": {cell.ref: f"{cell.move.name}, {cell.ref.round}" for cell in every_cell(run.session)},
        "stops": on_figures(run, forecast, lambda cell: studio.figure(cell.rung, cell.bouts[0].load)),
        "advice": result.advice,
    }


async def alter(request: Request) -> Response:
    """One edit from here, saved at once; then the same rehearsal, before and after. `edit` may be 'undo'."""
    form, studio = await read_form(request), studio_of(request)
    return await run_in_threadpool(_alter, request, studio, form)


def _alter(request: Request, studio: Studio, form: Mapping[str, str]) -> Response:
    session, base, query = request.path_params["session"], base_of(form), _query_of(form)
    if form.get("edit") == "undo":
        with suppress(Conflict):  # somebody went on from it: the page shows what there is now
            studio.sessions.undo(session, base)
        return RedirectResponse(f"/session/{session}/rehearse?{query.query(against=0)}", 303)
    try:
        with studio.turns(session).save():
            version = change(studio.sessions, session, base, edit_from(form))
    except (Invalid, Faults) as problem:
        return _screen(request, studio, studio.sessions.head(session), query, problem=refusals(problem)[0])
    if isinstance(version, Clash):
        return _screen(request, studio, version.head, query, version)
    return RedirectResponse(f"/session/{session}/rehearse?{query.query(against=base)}#changed", 303)


async def stop(request: Request) -> Response:
    """Gives up what is computed for this screen."""
    await read_form(request)
    session = request.path_params["session"]
    for place in ("rehearse", "rehearse-before"):
        studio_of(request).jobs.cancel(f"{place}/{session}")
    return page(request, "_stopped.html", place="rehearsal")


PATH = "/session/{session}/rehearse"
ROUTES = [
    Route(PATH, show),
    Route(PATH, alter, methods=["POST"]),
    Route(f"{PATH}/stop", stop, methods=["POST"]),
]
