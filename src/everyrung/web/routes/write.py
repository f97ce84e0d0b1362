"""The Write screen: the grid, the panel of a cell, the score, the findings; and every edit."""

from collections.abc import Mapping
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route

from everyrung.checks.cells import every_cell
from everyrung.checks.registry import gravest_first
from everyrung.compose.add_move import with_fitting_rung
from everyrung.compose.case import PlanRun
from everyrung.compose.lengths import USUAL
from everyrung.compose.missing_parts import whole_part
from everyrung.pipeline import AudienceSpec
from everyrung.plan.read import ref
from everyrung.results.analysis import Analysis
from everyrung.score.layout import NARROW
from everyrung.store.sessions import Conflict, Revision
from everyrung.terms.edit import AddBlock, AddMove, Edit
from everyrung.terms.enums import BandGrade, BlockKind, KitItem, Level, View
from everyrung.terms.errors import Faults
from everyrung.terms.forecast import USUAL_PEOPLE
from everyrung.terms.person import Experience, Sex
from everyrung.web.cell_panel import cell_panel, panel_of
from everyrung.web.edit_form import base_of, edit_from
from everyrung.web.form_values import LIMIT_WORDS
from everyrung.web.grid import finding_views, grid
from everyrung.web.in_room import room_says
from everyrung.web.jobs import JobResult
from everyrung.web.lever_choices import round_levers
from everyrung.web.pages import news, page, paper, unreadable
from everyrung.web.parts import digests_by_id
from everyrung.web.remedies import MendRequest, buttons_of
from everyrung.web.save import Clash, NewVersion, change, differing, replace_text
from everyrung.web.security import read_form
from everyrung.web.studio import Studio, studio_of


async def show(request: Request) -> Response:
    """The whole screen; a text that can't be read as a plan is shown as a text with its faults."""
    studio, session = studio_of(request), request.path_params["session"]
    head = studio.sessions.head(session)
    return await run_in_threadpool(_screen, request, studio, head)


def _screen(request: Request, studio: Studio, head: Revision) -> Response:
    try:
        run = studio.run(head.text)
    except Faults as faults:
        return unreadable(request, head, faults)
    return page(request, "write.html", **_work(request, head, run, _open_cell(request)))


def _open_cell(request: Request) -> str:
    return request.query_params.get("open", "")


def _work(
    request: Request, head: Revision, run: Analysis, cell: str = "", clash: Clash | None = None
) -> dict[str, Any]:
    """All that the templates of this screen show."""
    studio = studio_of(request)
    status = _status(studio, head)
    result = status["computed"]
    findings = result.findings if result and result.findings else run.findings
    findings = gravest_first((*findings, *status["room"].findings))
    figures = {each.ref: studio.figure(each.rung, each.bouts[0].load) for each in every_cell(run.session)}
    views, (score, score_text) = finding_views(run, findings), studio.score(head.text, paper(request))
    return {
        **status,
        "run": run,
        "blocks": grid(run, findings, result.forecast if result else None, figures),
        "found": [(each, buttons_of(each.finding, status["remedies"])) for each in views],
        "score": score,
        "score_text": score_text,
        "panel": panel_of(studio, run, cell),
        "clash": clash,
        "can_redo": studio.sessions.can_redo(head.session, head.number),
        "round_levers": round_levers(),
        "first_moves": _FIRST_MOVES,
        "words": _WORDS,
        "narrow": paper(request) is NARROW,
    }


_WORDS = {
    "levels": list(Level), "views": list(View), "kit": list(KitItem), "grades": list(BandGrade),
    "blocks": list(BlockKind), "sexes": list(Sex), "used": list(Experience), "lengths": USUAL, **LIMIT_WORDS,
}  # fmt: skip


# What a new part begins with, where nothing fits better.
_FIRST_MOVES = {BlockKind.WARM_UP: "ankle-rocks", BlockKind.COOL_DOWN: "back-thigh-stretch"}


def _status(studio: Studio, head: Revision) -> dict[str, Any]:
    """What there is of a version's bodies, audience and remedies; asked for, if nobody has yet.

    The remedies of time and checks have a background of their own, for they take seconds; those of bodies and people
    are tried when both are in, and those of a text that is no more are given up, for this one waits behind them.
    """
    slot = f"mend/{head.session}"
    old = studio.jobs.job_of(slot)
    if old and old.text != head.text:
        studio.jobs.cancel(slot)
    audience = AudienceSpec(count=USUAL_PEOPLE)
    bodies = studio.job(head.text, audience)
    studio.jobs.submit(f"write/{head.session}", bodies, while_asked=True)
    result = studio.jobs.result(bodies.key)
    whole = result is not None and result.finished
    where = studio.in_room(head.session)
    mends = [(studio.trials, studio.job(head.text, audience, mend=MendRequest(), **where))]
    if result and whole and result.findings:
        mends.append((studio.jobs, studio.job(head.text, audience, mend=MendRequest(findings=result.findings))))
    for queue, job in mends:
        queue.submit(slot, job, while_asked=True)
    results = [answer for queue, job in mends if (answer := queue.result(job.key))]
    room = room_says(studio, head)
    waiting = [(studio.jobs, bodies), *mends[1:], *mends[:1]]
    running = (progress for queue, job in waiting if (progress := queue.progress(job.key)))
    return {
        "head": head,
        "computed": result,
        "remedies": {name: each for answer in results for name, each in answer.remedies.items()},
        "room": room,
        "progress": next(running, room.progress),
        "seen": f"{_has(result)}{len(results)}{len(room.findings)}",
        "pending": not whole or len(results) < len(mends) or room.pending,
    }


async def edit(request: Request) -> Response:
    """One edit, saved at once; the answer is the new grid, score and findings. Of a page that says `first`, time and
    score, for they are there before the checks; it then asks for the other parts.
    """
    form, studio = await read_form(request), studio_of(request)
    return await run_in_threadpool(_edit, request, studio, form)


def _edit(request: Request, studio: Studio, form: Mapping[str, str]) -> Response:
    session = request.path_params["session"]
    with studio.turns(session).save():
        version = change(studio.sessions, session, base_of(form), _as_fits(studio, session, edit_from(form)))
    with studio.turns(session).answer():
        later = _with_later(studio, version)
        if form.get("first") and isinstance(later, NewVersion) and not later.theirs:
            return _score_first(request, studio, later.head, form)
        return _answer(request, later, form)


def _as_fits(studio: Studio, session: str, edit: Edit) -> Edit:
    """A move that is added comes in a version that people here can do with the kit that is there; a warm-up and a
    cool-down come whole, of moves that fit what is trained.
    """
    if not isinstance(edit, AddMove | AddBlock):
        return edit
    start = PlanRun(run=studio.run(studio.sessions.head(session).text), library=studio.library)
    if isinstance(edit, AddMove):
        return with_fitting_rung(start, edit)
    is_new = not any(block.kind is edit.kind for block in start.run.plan.blocks)
    around = edit.kind in (BlockKind.WARM_UP, BlockKind.COOL_DOWN)
    return (whole_part(start, edit.kind) if around and is_new else None) or edit


def _score_first(request: Request, studio: Studio, head: Revision, form: Mapping[str, str]) -> Response:
    """The parts that show how much of the move is done and when, and an event that says that the others are to be asked
    for.
    """
    run, (score, score_text) = studio.on_clock(head.text), studio.score(head.text, paper(request))
    place = ref(form.get("ref", ""))
    rows = (row for block in grid(run, (), None, {}) if block.name == place.block for row in block.rounds)
    answer = news(
        request, "_score_first.html", "work", digests_by_id(form.get("holds", "")),
        head=head, run=run, score=score, score_text=score_text,
        cells=[cell for row in rows for cell in row.cells if cell.ref.cell == place.cell and not cell.left_out],
        can_redo=studio.sessions.can_redo(head.session, head.number), narrow=paper(request) is NARROW, words=_WORDS,
    )  # fmt: skip
    answer.headers["HX-Trigger-After-Swap"] = "more-parts"
    return answer


def _with_later(studio: Studio, version: NewVersion | Clash) -> NewVersion | Clash:
    """With what others saved since. A clash is shown as it was met, or the choice that it leaves would hide theirs."""
    if isinstance(version, Clash):
        return version
    head = studio.sessions.head(version.head.session)
    if head.number == version.head.number:
        return version
    return NewVersion(head=head, theirs=(*version.theirs, *differing(version.head.text, head.text)))


def _answer(request: Request, version: NewVersion | Clash, form: Mapping[str, str]) -> Response:
    run = studio_of(request).run(version.head.text)
    content = _work(request, version.head, run, form.get("open", ""), version if isinstance(version, Clash) else None)
    content["in_every_round"] = form.get("scope") == "column"
    places = [each.place for each in version.theirs] if isinstance(version, NewVersion) else []
    status = 409 if content["clash"] else 200
    return news(request, "_work.html", "work", digests_by_id(form.get("holds", "")), status, joined=places, **content)


async def undo(request: Request) -> Response:
    """One version back, or, for redo, on again."""
    form, studio = await read_form(request), studio_of(request)
    return await run_in_threadpool(_step, request, studio, form, request.url.path.endswith("/redo"))


def _step(request: Request, studio: Studio, form: Mapping[str, str], on: bool) -> Response:
    session, base = request.path_params["session"], base_of(form)
    try:
        head = (studio.sessions.redo if on else studio.sessions.undo)(session, base)
    except Conflict as conflict:
        head = conflict.head
    return _answer(request, NewVersion(head=head or studio.sessions.head(session)), form)


async def current(request: Request) -> Response:
    """The number of the current version: what a page asks that wants to know whether others changed something."""
    session = studio_of(request).sessions.session(request.path_params["session"])
    return PlainTextResponse(str(session.head))


async def parts(request: Request) -> Response:
    """The parts of the screen that differ from those a page holds: what others changed, for who changed nothing."""
    form, studio = await read_form(request), studio_of(request)
    session = request.path_params["session"]

    def render() -> Response:
        with studio.turns(session).answer():
            return _answer(request, NewVersion(head=studio.sessions.head(session)), form)

    return await run_in_threadpool(render)


async def cell(request: Request) -> Response:
    """The panel of one cell; of none, where none is named."""
    studio = studio_of(request)
    head = studio.sessions.head(request.path_params["session"])

    def render() -> Response:
        run = studio.run(head.text)
        place = request.query_params.get("ref", "")
        panel = cell_panel(studio, run, ref(place)) if place else None
        return news(request, "_cell_panel.html", "panel", {}, head=head, panel=panel, run=run)

    return await run_in_threadpool(render)


async def show_progress(request: Request) -> Response:
    """How far the background is; when it has come further, the grid and the findings with it."""
    studio = studio_of(request)
    head = studio.sessions.head(request.path_params["session"])
    old_state = request.query_params.get("seen", "")

    def render() -> Response:
        status = _status(studio, head)
        current = request.query_params.get("base") == str(head.number)
        if not current or status["seen"] == old_state:
            return page(request, "_status.html", **status)
        work = _work(request, head, studio.run(head.text), _open_cell(request))
        answer = news(request, "_computed.html", "findings", {}, **work)
        answer.headers["HX-Retarget"], answer.headers["HX-Reswap"] = "#findings", "outerHTML"
        return answer

    return await run_in_threadpool(render)


def _has(result: JobResult | None) -> str:
    """What of an answer there is: nothing, the bodies, the people too, all."""
    if result is None:
        return ""
    return "all" if result.finished else "people" if result.forecast else "bodies"


async def stop(request: Request) -> Response:
    """Gives up what the background computes for this session."""
    await read_form(request)
    studio, session = studio_of(request), request.path_params["session"]
    studio.trials.cancel(f"mend/{session}")
    for what in ("write", "mend"):
        studio.jobs.cancel(f"{what}/{session}")
    return page(request, "_stopped.html", place="status")


async def text(request: Request) -> Response:
    """The plan as text."""
    head = studio_of(request).sessions.head(request.path_params["session"])
    return page(request, "text.html", head=head, faults=[], text=head.text)


async def save_text(request: Request) -> Response:
    """The whole text saved, also one that can't be read yet; only on top of what its page showed."""
    form, studio = await read_form(request), studio_of(request)

    def render() -> Response:
        mine = form.get("text", "").replace("\r\n", "\n")
        version = replace_text(studio.sessions, request.path_params["session"], base_of(form), mine, "Text changed")
        if isinstance(version, Clash):
            return page(request, "text_clash.html", 409, clash=version, mine=mine)
        return _screen(request, studio, version.head)

    return await run_in_threadpool(render)


PATH = "/session/{session}"
ROUTES = [
    Route(PATH, show),
    Route(f"{PATH}/edit", edit, methods=["POST"]),
    Route(f"{PATH}/undo", undo, methods=["POST"]),
    Route(f"{PATH}/redo", undo, methods=["POST"]),
    Route(f"{PATH}/head", current),
    Route(f"{PATH}/parts", parts, methods=["POST"]),
    Route(f"{PATH}/cell", cell),
    Route(f"{PATH}/computed", show_progress),
    Route(f"{PATH}/stop", stop, methods=["POST"]),
    Route(f"{PATH}/text", text),
    Route(f"{PATH}/text", save_text, methods=["POST"]),
]
