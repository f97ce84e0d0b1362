"""Answers: the quick entry after class, and everything that was written down as a spreadsheet."""

from collections.abc import Sequence
from datetime import date
from urllib.parse import urlencode

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from everyrung.people.history import history_text
from everyrung.store.owners import Owner, Owners
from everyrung.terms.errors import Faults, Invalid
from everyrung.terms.history import SetRecord
from everyrung.terms.person import Person
from everyrung.terms.session import Cell
from everyrung.web.card_takes import CardTake, takes_on
from everyrung.web.field_words import refusals
from everyrung.web.history_rows import history_rows, studio_history
from everyrung.web.led_sets import led_on
from everyrung.web.pages import page, say, unreadable
from everyrung.web.person_form import participant
from everyrung.web.quick_entry import TAPS, entry_cells, entry_lines, records_of
from everyrung.web.security import read_form
from everyrung.web.studio import Studio, studio_of


async def show(request: Request) -> Response:
    """The list to tap, for one set on one day: the last that was led, where the stage says which were."""
    query = request.query_params
    return await run_in_threadpool(_show, request, query.get("cell", ""), query.get("on", ""), "")


def _show(request: Request, ref: str, day: str, fault: str) -> Response:
    studio = studio_of(request)
    head = studio.sessions.head(request.path_params["session"])
    try:
        session = studio.on_clock(head.text).session
    except Faults as faults:
        return unreadable(request, head, faults)
    cells, on = entry_cells(session), _day(day)
    if not cells:
        raise HTTPException(422, "This session has no set of strength yet, so there is nothing to ask about.")
    history = studio_history(studio)
    on_stage = led_on(history, session.title, on)
    cell = _cell(cells, ref or next((str(each.ref) for each in cells if str(each.ref) in on_stage), ""))
    people = [(row.id, participant(row)) for row in studio.people.all()]
    cards = _on_cards(studio, people, cell, session.title, on)
    lines = entry_lines(people, cell, history, on, session.title, cards)
    return page(
        request, "answers.html", 422 if fault else 200, head=head, cells=cells, cell=cell, on=on.isoformat(),
        on_stage=on_stage, lines=lines, taps=TAPS, fault=fault,
    )  # fmt: skip


def _on_cards(
    studio: Studio, people: Sequence[tuple[int, Person]], cell: Cell, session: str, on: date
) -> dict[int, CardTake]:
    """What each one's card said of a set, by their number."""
    files = Owners(studio.settings.folder).files_by([Owner(name=one.name, person=key) for key, one in people])
    each = {owner.person: takes_on(theirs, session, on) for owner, theirs in files.items()}
    return {key: takes[str(cell.ref)] for key, takes in each.items() if str(cell.ref) in takes}


async def keep(request: Request) -> Response:
    """What was tapped, added to the history; a later answer corrects an earlier one, and both stay."""
    form = await read_form(request)
    return await run_in_threadpool(_keep, request, dict(form))


def _keep(request: Request, form: dict[str, str]) -> Response:
    studio, key = studio_of(request), request.path_params["session"]
    ref, day = form.get("cell", ""), form.get("on", "")
    head = studio.sessions.head(key)
    try:
        session = studio.on_clock(head.text).session
        cells = entry_cells(session)
        if not cells:
            raise HTTPException(422, "This session has no set of strength yet, so there is nothing to ask about.")
        people = [(row.id, participant(row)) for row in studio.people.all()]
        history = studio_history(studio)
        cell, on = _cell(cells, ref), _day(day)
        cards = _on_cards(studio, people, cell, session.title, on)
        records = records_of(form, people, cell, on, session.title, history, cards)
        new = [each for each in records if each not in history.current]
        studio.history.add(history_rows(studio, new))
    except (Faults, Invalid) as problem:
        return _show(request, ref, day, " ".join(refusals(problem)))
    say(request, f"{_count(new)} kept" if new else "Nothing new was tapped, so nothing was kept")
    return RedirectResponse(f"/session/{key}/answers?{urlencode({'cell': ref, 'on': day})}", 303)


def _count(records: Sequence[SetRecord]) -> str:
    return f"{len(records)} {'answer' if len(records) == 1 else 'answers'}"


def _cell(cells: tuple[Cell, ...], ref: str) -> Cell:
    return next((each for each in cells if str(each.ref) == ref), cells[0])


def _day(words: str) -> date:
    try:
        return date.fromisoformat(words)
    except ValueError:
        return date.today()


async def take_out(request: Request) -> Response:
    """Everything as a history file."""

    def text(studio: Studio) -> str:
        return history_text(studio_history(studio))

    content = await run_in_threadpool(text, studio_of(request))
    headers = {"Content-Disposition": 'attachment; filename="history.csv"'}
    return Response(content.encode(), media_type="text/csv", headers=headers)


ROUTES = [
    Route("/session/{session}/answers", show),
    Route("/session/{session}/answers", keep, methods=["POST"]),
    Route("/people/history.csv", take_out),
]
