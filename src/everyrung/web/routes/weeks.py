"""The Weeks screen: what is wanted of a block, its proposal with progress and bounds, and the block as it is kept."""

import asyncio
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from everyrung.blocks.block_file import BlockFile, block_from_text, day, unlock_evening, with_missed
from everyrung.blocks.block_view import BlockView
from everyrung.blocks.clashes import check_clock, clashes
from everyrung.blocks.evenings import evenings_of
from everyrung.pipeline import AudienceSpec
from everyrung.publish.block_drawing import block_svg
from everyrung.publish.block_sheet import alt_words, balance_lines, load_words
from everyrung.store.blocks import BlockRow, EveningRow
from everyrung.store.sessions import Conflict
from everyrung.terms.block_brief import MOST_WEEKS, BlockBrief, Weekday
from everyrung.terms.errors import Faults, Invalid
from everyrung.web.block_form import form_of, head_of, people_in
from everyrung.web.block_lines import evening_lines, what_differs
from everyrung.web.block_planning import FILE, BlockProposal, plans_of, records_in, request_of, view_of, with_head
from everyrung.web.brief_form import FOCUS, PATTERNS, PERSON
from everyrung.web.field_words import refusals
from everyrung.web.history_rows import studio_history
from everyrung.web.jobs import Job
from everyrung.web.pages import page, say
from everyrung.web.save import draft
from everyrung.web.security import read_form
from everyrung.web.studio import Studio, studio_of

_CHOICES = {
    "days": list(Weekday), "most_weeks": MOST_WEEKS, "patterns": PATTERNS,
    "focus": FOCUS, "person": PERSON,
}  # fmt: skip


async def index(request: Request) -> Response:
    """Every block, and the form for a new one."""
    return await run_in_threadpool(_index, request, _first_form(), [])


def _first_form() -> dict[str, str]:
    """Of a block that begins next Monday; which evenings it has nobody knows but the coach."""
    return {
        "weeks": "6",
        "first": _monday().isoformat(),
        "brief": "45 min whole body, dumbbells 4 to 12 kg",
        "starts-0": "18:30",
    }


def _monday() -> date:
    today = date.today()
    return today + timedelta(days=7 - today.weekday())


def _examples() -> dict[str, str]:
    """What stands in fields that are empty: two days, as they are typed."""
    days_off = (_monday() + timedelta(days=days) for days in (14, 17))
    return {"closed_example": ", ".join(each.isoformat() for each in days_off)}


def _index(request: Request, form: dict[str, str], faults: list[str]) -> Response:
    studio = studio_of(request)
    return page(
        request, "weeks.html", 422 if faults else 200, rows=studio.blocks.all(), form=form, faults=faults,
        names=studio.people.names(), **_CHOICES, **_examples(),
    )  # fmt: skip


async def new(request: Request) -> Response:
    """A block from the form, which is then planned; or the form again, with what is wrong."""
    form = dict(await read_form(request))

    def create() -> Response:
        studio = studio_of(request)
        try:
            head, file = _wish(studio, form, "", "")
        except (Invalid, Faults) as problem:
            return _index(request, form, refusals(problem))
        _say_unknown(request, file)
        people = _on_list(studio, form)
        return _to(studio.blocks.create(file.brief.title, head, date.today().isoformat(), people))

    return await run_in_threadpool(create)


def _wish(studio: Studio, form: dict[str, str], text: str, key: str) -> tuple[str, BlockFile]:
    """The head that a form asks for, and the block's file with it. Raises Invalid or Faults, for a clash too."""
    head = head_of(form)
    file = block_from_text(with_head(text, head), FILE, studio.library)
    evenings_of(file.brief)
    check_clock(file.brief)
    names = dict(studio.people.names())
    mine = replace(file.brief, people=tuple(names[each] for each in _on_list(studio, form)))
    others = [_with_people(studio, row, names) for row in studio.blocks.all() if row.id != key]
    if sentences := list(clashes(mine, others)):
        raise Invalid("evenings", "no clash with another block", sentences[0])
    return head, file


def _with_people(studio: Studio, row: BlockRow, names: dict[int, str]) -> BlockBrief:
    """What another block wants, with who comes."""
    brief = block_from_text(with_head(row.text, row.asked) if row.asked else row.text, FILE, studio.library).brief
    return replace(brief, people=tuple(names[each] for each in row.people))


def _on_list(studio: Studio, form: dict[str, str]) -> tuple[int, ...]:
    """Of those who are ticked, who is on the list."""
    there = {key for key, _ in studio.people.names()}
    return tuple(each for each in people_in(form) if each in there)


def _say_unknown(request: Request, file: BlockFile) -> None:
    if file.unknown:
        say(request, f"Not understood, and left out: {file.unknown}")


def _to(key: str) -> Response:
    return RedirectResponse(f"/weeks/{key}", 303)


async def show(request: Request) -> Response:
    """One block: while it is planned how far it is, then what is proposed; else the block as it is kept."""
    return await run_in_threadpool(_show, request)


def _show(request: Request, form: dict[str, str] | None = None, faults: tuple[str, ...] = ()) -> Response:
    studio, row = studio_of(request), block_row(request)
    file = block_from_text(row.text, FILE, studio.library)
    evenings = studio.blocks.evenings(row.id)
    lines, today = evening_lines(file, evenings), date.today().isoformat()
    to_come = next((each for each in lines if each.on >= today), None)
    ticks = {f"{PERSON}{key}": "on" for key in row.people}
    content: dict[str, Any] = {
        "row": row, "lines": lines, "form": form or form_of(row.asked or file.head) | ticks,
        "faults": faults, "names": studio.people.names(), "today": today, **_CHOICES, **_examples(),
        "next_on": to_come.on if to_come else "", "next_week": to_come.week if to_come else 0,
    }  # fmt: skip
    if row.asked:
        content |= _planning(studio, row, evenings)
    return page(request, "weeks_block.html", 422 if faults else 200, **content)


def block_row(request: Request) -> BlockRow:
    return studio_of(request).blocks.block(request.path_params["block"])


def _job(studio: Studio, row: BlockRow, evenings: tuple[EveningRow, ...]) -> Job:
    return studio.job("", AudienceSpec(), block=request_of(row, evenings))


def _planning(
    studio: Studio, row: BlockRow, evenings: tuple[EveningRow, ...], *, at_rest: bool = False
) -> dict[str, Any]:
    """How far the planning is, and what is proposed; it is begun if need be."""
    job = _job(studio, row, evenings)
    if not at_rest:
        studio.jobs.submit(f"weeks/{row.id}", job)
    result = studio.jobs.result(job.key)
    proposal = result.block if result else None
    return {
        "row": row,
        "result": result,
        "progress": studio.jobs.progress(job.key),
        "pending": not at_rest and not (result and result.finished),
        "stopped": at_rest and not (result and result.finished),
        "proposal": proposal,
        "proposed": _proposal_content(studio, proposal, evenings) if proposal else None,
    }


def _proposal_content(studio: Studio, proposal: BlockProposal, evenings: tuple[EveningRow, ...]) -> dict[str, Any]:
    file = block_from_text(proposal.text, FILE, studio.library)
    rows = tuple(EveningRow(day=day, text=text, session="", version=0) for day, text in proposal.plans)
    return {
        **_drawing(proposal.view),
        "lines": evening_lines(file, rows),
        "minutes": {each.on.isoformat(): -int(-each.minutes // 1) for each in proposal.view.evenings},
        "growth": {week: f"{factor - 1:.0%}" for week, factor in proposal.growth},
        "differs": what_differs(proposal, evenings),
        "gone": len({each.day for each in evenings} - {day for day, _ in proposal.plans}),
    }


def _drawing(view: BlockView) -> dict[str, Any]:
    return {"svg": block_svg(view), "alt": alt_words(view)}


async def show_planning(request: Request) -> Response:
    """How far the planning is, for a page that is there."""

    def render() -> Response:
        studio, row = studio_of(request), block_row(request)
        if not row.asked:
            raise HTTPException(404, "This block is no longer being planned. Reload the page.")
        return page(request, "_weeks_planning.html", **_planning(studio, row, studio.blocks.evenings(row.id)))

    return await run_in_threadpool(render)


async def stop(request: Request) -> Response:
    """Gives the planning up."""
    await read_form(request)

    def render() -> Response:
        studio, row = studio_of(request), block_row(request)
        studio.jobs.cancel(f"weeks/{row.id}")
        evenings = studio.blocks.evenings(row.id)
        return page(request, "_weeks_planning.html", **_planning(studio, row, evenings, at_rest=True))

    return await run_in_threadpool(render)


async def keep(request: Request) -> Response:
    """What is proposed takes the place of what there was; sessions that were opened get a new version."""
    await read_form(request)
    return await run_in_threadpool(_keep, request)


def _keep(request: Request) -> Response:
    studio, row = studio_of(request), block_row(request)
    evenings = studio.blocks.evenings(row.id)
    result = studio.jobs.result(_job(studio, row, evenings).key) if row.asked else None
    if not (result and result.block):
        say(request, "Something changed since this was planned, so it is planned again")
        return _to(row.id)
    proposal, title = result.block, block_from_text(result.block.text, FILE, studio.library).brief.title
    new = replace(
        row, title=title, text=proposal.text, calendar=proposal.calendar, bounds="\n".join(proposal.lines), asked=""
    )  # fmt: skip
    plans = dict(proposal.plans)
    studio.blocks.keep(new, plans)
    for each in evenings:
        if each.session and plans.get(each.day, each.text) != each.text:
            _new_version(studio, each, plans[each.day], title)
    return _to(row.id)


def _new_version(studio: Studio, evening: EveningRow, text: str, title: str) -> None:
    """A session gets the plan that was made anew; one that was saved in between is the coach's own, and stays."""
    try:
        studio.sessions.save(evening.session, evening.version, draft(text, f"Planned again with {title}"))
    except Conflict:
        return


async def leave(request: Request) -> Response:
    """What is asked for is not wanted any more; a block of which nothing was planned goes."""
    await read_form(request)

    def forget() -> Response:
        studio, row = studio_of(request), block_row(request)
        studio.jobs.cancel(f"weeks/{row.id}")
        if not studio.blocks.evenings(row.id):
            studio.blocks.remove(row.id)
            return RedirectResponse("/weeks", 303)
        studio.blocks.ask(row.id, "", row.start)
        return _to(row.id)

    return await run_in_threadpool(forget)


async def again(request: Request) -> Response:
    """Plans what is to come again: with what the form says now, or, without it, around what was changed by hand."""
    form = dict(await read_form(request))

    def ask() -> Response:
        studio, row = studio_of(request), block_row(request)
        try:
            if form.get("first"):
                head, file = _wish(studio, form, row.text, row.id)
                people = _on_list(studio, form)
            else:
                file = block_from_text(row.text, FILE, studio.library)
                head, people = file.head, row.people
        except (Invalid, Faults) as problem:
            return _show(request, form, tuple(refusals(problem)))
        _say_unknown(request, file)
        studio.blocks.ask(row.id, head, date.today().isoformat(), people)
        return _to(row.id)

    return await run_in_threadpool(ask)


async def miss(request: Request) -> Response:
    """An evening fell out: what comes after it is planned from where people are."""
    form = await read_form(request)

    def ask() -> Response:
        studio, row = studio_of(request), block_row(request)
        on = day(form.get("on", ""))
        file = with_missed(block_from_text(row.text, FILE, studio.library), on)
        evenings_of(file.brief)
        studio.blocks.ask(row.id, file.head, on.isoformat())
        return _to(row.id)

    return await run_in_threadpool(ask)


async def unlock(request: Request) -> Response:
    """An evening that was made by hand is planned with the others from now on."""
    form = await read_form(request)

    def ask() -> Response:
        studio, row = studio_of(request), block_row(request)
        on = day(form.get("on", ""))
        plan = next((each.text for each in studio.blocks.evenings(row.id) if each.day == on.isoformat()), "")
        text = unlock_evening(row.text, on, plan)
        studio.blocks.rewrite(row.id, text)
        studio.blocks.ask(row.id, block_from_text(text, FILE, studio.library).head, date.today().isoformat())
        return _to(row.id)

    return await run_in_threadpool(ask)


def session_of(studio: Studio, row: BlockRow, evening: EveningRow) -> str:
    """The session of an evening, made the first time."""
    if evening.session:
        return evening.session
    session = studio.sessions.create(draft(evening.text, f"From {row.title}, {evening.day}")).id
    studio.blocks.link(row.id, evening.day, session)
    return session


async def open_evening(request: Request) -> Response:
    """An evening as a session of the studio, to write, rehearse, lead and publish; made the first time."""
    form = await read_form(request)

    def to_session() -> Response:
        studio, row = studio_of(request), block_row(request)
        evening = next((each for each in studio.blocks.evenings(row.id) if each.day == form.get("on")), None)
        if evening is None:
            raise HTTPException(404, "This block has no such evening.")
        return RedirectResponse(f"/session/{session_of(studio, row, evening)}", 303)

    return await run_in_threadpool(to_session)


async def remove(request: Request) -> Response:
    """A block goes; sessions that were opened stay."""
    await read_form(request)

    def forget() -> Response:
        studio, row = studio_of(request), block_row(request)
        studio.jobs.cancel(f"weeks/{row.id}")
        studio.blocks.remove(row.id)
        return RedirectResponse("/weeks", 303)

    return await run_in_threadpool(forget)


async def sheet(request: Request) -> Response:
    """How the block looks with what people did, for the page that is there."""
    view = await kept_view(request)
    if isinstance(view, str):
        return page(request, "_weeks_sheet.html", problem=view, svg="", alt="", loads=[], with_people=False)
    loads = [*balance_lines(view), *(load_words(week, load) for week, load in view.loads.items())]
    return page(
        request, "_weeks_sheet.html", problem="", loads=loads, with_people=bool(view.people), **_drawing(view)
    )  # fmt: skip


async def kept_view(request: Request, *, with_people: bool = True) -> BlockView | str:
    """How a block looks; or in words why that is not known. Computed in the background process that pages wait for."""
    studio = studio_of(request)

    def gather() -> tuple[Any, ...]:
        row = block_row(request)
        evenings = studio.blocks.evenings(row.id)
        titles = {date.fromisoformat(each.day): draft(each.text, "").title for each in evenings}
        records = records_in(studio_history(studio), titles, row.title) if with_people else ()
        return row.text, plans_of(evenings), records, studio.own_cues.all()

    return await asyncio.wrap_future(studio.drawing.submit(view_of, *await run_in_threadpool(gather)))


PATH = "/weeks/{block}"
ROUTES = [
    Route("/weeks", index),
    Route("/weeks", new, methods=["POST"]),
    Route(PATH, show),
    Route(f"{PATH}/planning", show_planning),
    Route(f"{PATH}/sheet", sheet),
    *(
        Route(f"{PATH}/{name}", act, methods=["POST"])
        for name, act in {
            "stop": stop, "keep": keep, "leave": leave, "again": again, "miss": miss, "unlock": unlock,
            "open": open_evening, "remove": remove,
        }.items()
    ),
]  # fmt: skip
