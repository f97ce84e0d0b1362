"""The Look back screen: what happened against the plan, in the background; and one press for what comes of it."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from everyrung.lookback.show_report import count_reps, versions, work_ms
from everyrung.score.layout import NARROW
from everyrung.store.led_sources import SourceKind
from everyrung.store.session_log import SessionLog
from everyrung.store.sessions import Conflict, Revision
from everyrung.terms.errors import Faults, Invalid
from everyrung.web.field_words import refusals
from everyrung.web.jobs import JobResult
from everyrung.web.led_answers import answer_lines
from everyrung.web.pages import page, paper, say
from everyrung.web.recordings import recordings_near
from everyrung.web.routes.film import film_values
from everyrung.web.routes.shows import PATH, beside_plan, log_summary, show_row
from everyrung.web.save import Clash, change
from everyrung.web.security import read_form
from everyrung.web.show_requests import is_of_stage, next_job, review_job, slot
from everyrung.web.studio import Studio, studio_of


async def index(request: Request) -> Response:
    """Every time that a session was led, and a way in for one that was led without the stage."""
    return await run_in_threadpool(_index, request)


def _index(request: Request) -> Response:
    studio = studio_of(request)
    head = studio.sessions.head(request.path_params["session"])
    rows = [(log_summary(log), is_of_stage(log)) for log in studio.session_logs.of(head.session)]
    return page(request, "look_backs.html", head=head, rows=rows)


async def show(request: Request) -> Response:
    """One show: its review with how far it is, what there is of it, and what can be brought in."""
    return await run_in_threadpool(show_page, request, "")


def show_page(request: Request, fault: str, folder: Path | None = None) -> Response:
    """The screen, with what was refused above it, or the recordings of a folder to choose from."""
    studio = studio_of(request)
    log, head = show_row(studio, request), studio.sessions.head(request.path_params["session"])
    content: dict[str, Any] = {
        **_review(request, studio, log, head), "beside": None, "problem": "", "fault": fault,
        "sources": [each for each in studio.led_sources.of(log.id) if each.kind is not SourceKind.ANSWERS],
        "answers": list(answer_lines(studio, log)), "people": studio.people.names(), "kinds": SourceKind,
        "taken": request.query_params.get("taken", ""), "of_stage": is_of_stage(log),
        **film_values(request, studio, log), **recordings_near(request, studio, folder),
    }  # fmt: skip
    try:
        if is_of_stage(log):
            beside = beside_plan(studio, log)
            content |= {"beside": beside, "work_ms": work_ms, "counted": count_reps, "versions": versions}
    except (Faults, Invalid) as problem:
        content["problem"] = " ".join(refusals(problem))
    return page(request, "look_back.html", 422 if fault else 200, **content)


async def part(request: Request) -> Response:
    """How far the review is, or the review."""

    def render() -> Response:
        studio = studio_of(request)
        log, head = show_row(studio, request), studio.sessions.head(request.path_params["session"])
        return page(request, "_look_back.html", **_review(request, studio, log, head))

    return await run_in_threadpool(render)


def _review(request: Request, studio: Studio, log: SessionLog, head: Revision) -> dict[str, Any]:
    """What there is of the two jobs; each is begun if need be."""
    has_more = any(each.kind is not SourceKind.ANSWERS for each in studio.led_sources.of(log.id))
    if not (is_of_stage(log) or has_more):
        return {"head": head, "log": log, "view": None, "why": "", "next": None, "pending": False, "progress": None}
    first, later = review_job(studio, log), next_job(studio, log, head)
    studio.jobs.submit(slot(log), first)
    result = studio.jobs.result(first.key)
    more: JobResult | None = None
    if result and result.finished:
        studio.trials.submit(slot(log), later)
        more = studio.trials.result(later.key)
    is_done = bool(result and result.finished and more and more.finished)
    return {
        "head": head, "log": log, "view": result.review if result else None,
        "why": (result.problem if result else "") or (more.problem if more else ""),
        "next": more.review if more else None, "pending": not is_done, "narrow": paper(request) is NARROW,
        "progress": studio.jobs.progress(first.key) or studio.trials.progress(later.key),
    }  # fmt: skip


async def stop(request: Request) -> Response:
    """Nobody waits for the review any more."""
    await read_form(request)
    studio = studio_of(request)
    log = await run_in_threadpool(show_row, studio, request)
    studio.jobs.cancel(slot(log))
    studio.trials.cancel(slot(log))
    return page(request, "_stopped.html", place="review")


async def take(request: Request) -> Response:
    """One change that was tried, into the plan: brought together with what was changed meanwhile."""
    return await run_in_threadpool(_take, request, await read_form(request))


def _take(request: Request, form: Mapping[str, str]) -> Response:
    studio = studio_of(request)
    log, head = show_row(studio, request), studio.sessions.head(request.path_params["session"])
    address = f"/session/{head.session}/led/{log.id}"
    result = studio.trials.result(next_job(studio, log, head).key)
    edits = result.review.edits if result and result.review else ()
    number, base = form.get("number", ""), form.get("base", "")
    at = int(number) if number.isdecimal() and len(number) < 4 else -1
    if base != str(head.number) or not 0 <= at < len(edits) or edits[at].text is None:
        say(request, "The plan was changed meanwhile, so the changes are being tried again")
        return RedirectResponse(f"{address}#next", 303)
    outcome = change(studio.sessions, head.session, head.number, edits[at].edit)
    if isinstance(outcome, Clash):
        say(request, "Somebody changed the same place meanwhile; nothing was put in")
        return RedirectResponse(f"{address}#next", 303)
    say(request, f"In the plan, version {outcome.head.number}: {edits[at].words.rstrip('.')}")
    return RedirectResponse(f"{address}?taken={outcome.head.number}#next", 303)


async def undo(request: Request) -> Response:
    """The version before what was taken."""
    form, studio = await read_form(request), studio_of(request)
    session, base = request.path_params["session"], form.get("base", "")
    if not base.isdecimal() or len(base) > 9:
        raise HTTPException(422, "No version was given to undo.")

    def step() -> None:
        try:
            head = studio.sessions.undo(session, int(base))
            say(request, f"Undone: the plan is as in version {head.number}" if head else "There is nothing to undo")
        except Conflict:
            say(request, "The plan was changed since, so nothing was undone; Versions goes back to any of them")

    await run_in_threadpool(step)
    return RedirectResponse(f"/session/{session}/led/{request.path_params['log']}#next", 303)


async def report(request: Request) -> Response:
    """The review as one page or in print."""
    return await run_in_threadpool(_report, request)


def _report(request: Request) -> Response:
    from dataclasses import replace

    from everyrung.lookback.review_sheet import review_html, review_pdf

    studio = studio_of(request)
    log, head = show_row(studio, request), studio.sessions.head(request.path_params["session"])
    content = _review(request, studio, log, head)
    view, later = content["view"], content["next"]
    if view is None:
        raise HTTPException(409, "The review is not made yet: its page shows how far it is.")
    if later:
        view = replace(view, edits=later.edits, clock=later.clock)
    lines = list(answer_lines(studio, log))
    if request.path_params["kind"] == "html":
        body, media = review_html(view, lines).encode(), "text/html"
    elif request.path_params["kind"] == "pdf":
        body, media = review_pdf(view, lines), "application/pdf"
    else:
        raise HTTPException(404, "There are review.html and review.pdf.")
    name = f"review-{log.revision}.{request.path_params['kind']}"
    return Response(body, media_type=media, headers={"Content-Disposition": f'attachment; filename="{name}"'})


ROUTES = [
    Route(f"{PATH}/led", index),
    Route(f"{PATH}/led/{{log}}", show),
    Route(f"{PATH}/led/{{log}}/review", part),
    Route(f"{PATH}/led/{{log}}/review.{{kind}}", report),
    Route(f"{PATH}/led/{{log}}/stop", stop, methods=["POST"]),
    Route(f"{PATH}/led/{{log}}/take", take, methods=["POST"]),
    Route(f"{PATH}/led/{{log}}/undo", undo, methods=["POST"]),
]
