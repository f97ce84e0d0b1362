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
from everyrung.web.jobs import Job, JobResult
from everyrung.web.pages import is_part, page, unreadable
from everyrung.web.rehearsal import effort_band, gives_out, outline, rows
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


def _fields(asked: RehearsalQuery) -> dict[str, object]:
    who = asked.who
    found = {"mix": who.mix, "count": who.count, "known": who.known, "open": asked.open, "against": asked.against}
    return {name: value for name, value in found.items() if value}


def _query_of(said: Mapping[str, str]) -> RehearsalQuery:
    against = said.get("against", "")
    number = int(against) if against.isdecimal() and len(against) < 10 else 0
    return RehearsalQuery(who=audience(said), open=said.get("open", ""), against=number)


async def show(request: Request) -> Response:
    """The screen, or, for its own script, how far it is."""
    studio, asked = studio_of(request), _query_of(request.query_params)
    head = studio.sessions.head(request.path_params["session"])
    return await run_in_threadpool(_screen, request, studio, head, asked)


def _screen(
    request: Request,
    studio: Studio,
    head: Revision,
    asked: RehearsalQuery,
    clash: Clash | None = None,
    problem: str = "",
) -> Response:
    try:
        run = studio.run(head.text)
    except Faults as faults:
        return unreadable(request, head, faults)
    content = {**_now(studio, head, run, asked), **_choices(studio), "clash": clash, "problem": problem}
    status = 409 if clash else 422 if problem else 200
    return page(request, "_rehearsal.html" if is_part(request) else "rehearse.html", status, **content)


def _choices(studio: Studio) -> dict[str, Any]:
    return {
        "mixes": [(name, read_mix(name).title) for name in mix_names()],
        "counts": COUNTS,
        "knowns": KNOWN,
        "listed": studio.people.count(),
    }


def _now(studio: Studio, head: Revision, run: Analysis, asked: RehearsalQuery) -> dict[str, Any]:
    job = studio.job(head.text, audience_spec(asked.who, studio.people))
    found = _result_so_far(studio, f"rehearse/{head.session}", job)
    before = _before(studio, head, asked, job)
    return {
        "head": head,
        "run": run,
        "asked": asked,
        "computed": found,
        "progress": studio.jobs.progress(job.key),
        "pending": not (found and found.finished),
        "panel": panel_of(studio, run, asked.open),
        **(_pictures(run, found, before, asked) if found and found.forecast else {}),
    }


def _result_so_far(studio: Studio, place: str, job: Job) -> JobResult | None:
    studio.jobs.submit(place, job)
    return studio.jobs.result(job.key)


def _before(studio: Studio, head: Revision, asked: RehearsalQuery, job: Job) -> JobResult | None:
    """The version before a change, before the same people."""
    if not asked.against or asked.against == head.number:
        return None
    old = studio.sessions.revision(head.session, asked.against)
    return _result_so_far(studio, f"rehearse-before/{head.session}", studio.job(old.text, job.audience))


def _pictures(run: Analysis, found: JobResult, before: JobResult | None, asked: RehearsalQuery) -> dict[str, Any]:
    forecast = found.forecast
    assert forecast is not None
    table = rows(run, forecast, before.forecast if before else None)
    opened = next((row for row in table if str(row.ref) == asked.open), None)
    whole = gives_out(run, forecast)
    return {
        "forecast": forecast,
        "before": before.forecast if before else None,
        "table": table,
        "opened": opened,
        "chart": effort_band(run, forecast),
        "whole": whole,
        "unsure": unsure_limiters(),
        "how_good": how_good(),
        "names": {cell.ref: f"{cell.move.name}, {cell.ref.round}" for cell in every_cell(run.session)},
        "outline": outline("What gives out first, over all sets of the main part", whole),
        "advice": found.advice,
    }


async def alter(request: Request) -> Response:
    """One edit from here, saved at once; then the same rehearsal, before and after. `edit` may be 'undo'."""
    form, studio = await read_form(request), studio_of(request)
    return await run_in_threadpool(_alter, request, studio, form)


def _alter(request: Request, studio: Studio, form: Mapping[str, str]) -> Response:
    session, base, asked = request.path_params["session"], base_of(form), _query_of(form)
    if form.get("edit") == "undo":
        with suppress(Conflict):  # somebody went on from it: the page shows what there is now
            studio.sessions.undo(session, base)
        return RedirectResponse(f"/session/{session}/rehearse?{asked.query(against=0)}", 303)
    try:
        with studio.turns(session).save():
            done = change(studio.sessions, session, base, edit_from(form))
    except (Invalid, Faults) as refused:
        return _screen(request, studio, studio.sessions.head(session), asked, problem=refusals(refused)[0])
    if isinstance(done, Clash):
        return _screen(request, studio, done.head, asked, done)
    return RedirectResponse(f"/session/{session}/rehearse?{asked.query(against=base)}#changed", 303)


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
