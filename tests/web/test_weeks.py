"""The Weeks screen: what is wanted is read and refused, a proposal is kept, an evening opened, missed, made by hand."""

import re
from datetime import date
from typing import Any

import pytest

from everyrung.blocks.block_file import PLANNED, block_from_text, by_hand, earlier_of
from everyrung.blocks.block_view import BlockView, EveningView
from everyrung.pipeline import AudienceSpec
from everyrung.store.backups import Backups
from everyrung.store.digest import digest
from everyrung.terms.block_brief import EveningKind
from everyrung.terms.enums import Pattern
from everyrung.terms.history import SetRecord
from everyrung.terms.person import Person
from everyrung.web import block_planning
from everyrung.web.block_form import form_of, head_of
from everyrung.web.block_planning import FILE, BlockProposal, request_of
from everyrung.web.history_rows import history_rows
from everyrung.web.jobs import JobResult, Progress, do_job
from everyrung.web.person_form import add
from everyrung.web.plan_templates import DEMO, start
from everyrung.web.routes.cards import cards_job
from everyrung.web.studio import Studio
from everyrung.web.workers import TaskCancelled

FORM = {
    "title": "Winter", "first": "2027-01-11", "weeks": "6", "brief": "45 min whole body, dumbbells 4 to 12 kg",
    "day-0": "Monday", "starts-0": "18:30", "day-1": "Thursday", "starts-1": "19:00", "brief-1": "30 min, no floor",
    "closed": "2027-01-21, 2027-02-08", "zone": "Europe/Helsinki", "place": "Boathouse", "focus.push": "on",
    "balance": "on",
}  # fmt: skip
DAYS = (date(2027, 1, 11), date(2027, 1, 14), date(2027, 1, 18))
PLAN = start(DEMO)


def block_of(studio: Studio) -> str:
    (row,) = studio.blocks.all()
    return row.id


def proposal(head: str, plans: dict[date, str]) -> BlockProposal:
    """As if it had been planned: an evening's plan for each day."""
    lines = [head, PLANNED]
    for on, text in plans.items():
        lines += ["[[evening]]", f"on = {on}", 'kind = "build"', f'change = "new on {on}"', f'file = "{on}.toml"']
        lines += [f'digest = "{digest(text)}"', "at = {}"]
    evenings = tuple(
        EveningView(
            on=on, week=1, kind=EveningKind.BUILD, change=f"new on {on}", minutes=34.2, sets={Pattern.KNEE: 3},
            demand=2.0, balance_minutes=1.5, heads=None,
        )
        for on in plans
    )  # fmt: skip
    view = BlockView(title="Winter", place="", weeks=6, evenings=evenings, people={}, loads={})
    return BlockProposal(
        text="\n".join(lines), plans=tuple((on.isoformat(), text) for on, text in plans.items()), calendar="BEGIN:A",
        view=view, growth=((2, 1.06),), lines=("Its moves: no others fit more than 10.0% better.",),
    )  # fmt: skip


def plan(studio: Studio, plans: dict[date, str]) -> None:
    """The background has planned what is asked for."""
    row = studio.blocks.block(block_of(studio))
    job = studio.job("", AudienceSpec(), block=request_of(row, studio.blocks.evenings(row.id)))
    studio.jobs.said(job, JobResult(block=proposal(row.asked, plans), finished=True))  # type: ignore[attr-defined]


@pytest.fixture
def block(studio: Studio, post: Any) -> str:
    """A block that was asked for, planned and kept."""
    assert post("/weeks", part=False, **FORM).status_code == 303
    plan(studio, dict.fromkeys(DAYS, PLAN))
    key = block_of(studio)
    assert post(f"/weeks/{key}/keep", part=False).status_code == 303
    return key


def test_a_head_says_what_the_form_does_and_back() -> None:
    assert {name: value for name, value in form_of(head_of(FORM)).items() if value} == FORM


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"weeks": "13"}, "Weeks: expected 4 to 12 weeks; got 13. Nearest: 12."),
        ({"weeks": "some"}, "Weeks: expected a whole number; got some."),
        ({"first": "tomorrow"}, "First day of week 1: expected a day such as 2027-01-11; got tomorrow."),
        ({"closed": "2027-01-22"}, "Closed: expected an evening of the block; got 2027-01-22. Nearest: 2027-01-21."),
        ({"day-1": "Monday"}, "Evenings of each week: expected one evening a day"),
        ({"day-0": "", "day-1": ""}, "Evenings of each week: expected 1 to 4 evenings a week"),
        ({"starts-0": "late"}, "Begins: expected a time such as"),
        ({"zone": "Europe/Helsinky"}, "Nearest: Europe/Helsinki."),
        ({"brief": "5 min"}, "Nearest: 10."),
        ({"title": ""}, "Title: "),
        ({"day-0": "Sunday", "starts-0": "03:30", "first": "2027-03-01", "closed": ""}, "which the clock leaps over"),
    ],
)
def test_bad_input_gets_a_sentence_and_the_nearest_that_works(
    post: Any, studio: Studio, fields: dict[str, str], words: str
) -> None:
    answer = post("/weeks", part=False, **FORM | fields)
    assert answer.status_code == 422
    assert words in answer.text
    assert not studio.blocks.all()


def test_what_is_asked_for_is_planned_then_kept(client: Any, studio: Studio, post: Any) -> None:
    answer = post("/weeks", part=False, **FORM | {"brief": "45 min moonlight"})
    address = answer.headers["location"]
    page = client.get(address).text
    assert "Not understood, and left out: moonlight" in page
    assert f'hx-get="{address}/planning"' in page
    plan(studio, dict.fromkeys(DAYS, PLAN))
    part = client.get(f"{address}/planning").text
    assert "hx-get" not in part
    for words in (
        "10.0% better",
        "<svg",
        "<b>Monday 18 January</b>, 35 min. new on 2027-01-18",
        "Week 2 asks 6% more.",
    ):
        assert words in part
    post(f"{address}/keep", part=False)
    kept = client.get(address).text
    assert "Keep this block" not in kept
    assert "<b>Thursday 14 January</b>, 19:00. new on 2027-01-14" in kept
    assert client.get(f"{address}/block.ics").text == "BEGIN:A"
    assert 'href="/weeks" aria-current="page"' in kept


def test_stopped_it_can_be_planned_on_and_given_up(client: Any, studio: Studio, post: Any) -> None:
    address = post("/weeks", part=False, **FORM).headers["location"]
    client.get(address)
    text = post(f"{address}/stop").text
    assert "Stopped." in text
    assert "hx-get" not in text
    assert post(f"{address}/leave", part=False).headers["location"] == "/weeks"
    assert not studio.blocks.all()


def test_an_evening_is_opened_once_and_stays_as_it_is_made_by_hand(
    client: Any, studio: Studio, post: Any, block: str
) -> None:
    first = post(f"/weeks/{block}/open", part=False, on=DAYS[1]).headers["location"]
    assert post(f"/weeks/{block}/open", part=False, on=DAYS[1]).headers["location"] == first
    session = first.removeprefix("/session/")
    assert studio.sessions.head(session).text == PLAN
    assert "Plan the others around it" not in client.get(f"/weeks/{block}").text
    post(f"/session/{session}/text", part=False, text="# mine\n" + PLAN, base=1)
    page = client.get(f"/weeks/{block}").text
    assert "Plan the others around it" in page
    assert "<b>Thursday 14 January</b>, 19:00. Changed by hand." in page
    post(f"/weeks/{block}/again", part=False)
    row = studio.blocks.block(block)
    assert row.asked
    wanted = request_of(row, studio.blocks.evenings(block))
    assert dict(wanted.plans)[DAYS[1].isoformat()] == "# mine\n" + PLAN


def test_what_is_planned_anew_is_a_new_version_of_a_session_that_was_opened(
    client: Any, studio: Studio, post: Any, block: str
) -> None:
    session = post(f"/weeks/{block}/open", part=False, on=DAYS[2]).headers["location"].removeprefix("/session/")
    post(f"/weeks/{block}/miss", part=False, on=DAYS[1])
    row = studio.blocks.block(block)
    assert "missed = [2027-01-14]" in row.asked
    assert row.start == "2027-01-14"
    other = PLAN.replace("Boathouse thirty", "Boathouse other")
    plan(studio, {DAYS[0]: PLAN, DAYS[2]: other})
    part = client.get(f"/weeks/{block}/planning").text
    assert "1 evening drops out." in part
    assert part.count("As before.") == 1
    assert part.count("Planned again.") == 1
    post(f"/weeks/{block}/keep", part=False)
    assert studio.sessions.head(session).text == other
    assert studio.sessions.head(session).number == 2
    assert [each.day for each in studio.blocks.evenings(block)] == ["2027-01-11", "2027-01-18"]


def test_a_proposal_of_something_else_is_not_kept(studio: Studio, post: Any, block: str) -> None:
    post(f"/weeks/{block}/miss", part=False, on=DAYS[1])
    before = studio.blocks.block(block)
    post(f"/weeks/{block}/keep", part=False)
    assert studio.blocks.block(block) == before
    post(f"/weeks/{block}/leave", part=False)
    assert not studio.blocks.block(block).asked
    assert len(studio.blocks.evenings(block)) == 3


@pytest.mark.parametrize(
    ("on", "words"), [("soon", "a day such as"), ("2027-01-12", "Nearest: 2027-01-11"), ("2027-01-21", "not closed")]
)
def test_a_day_that_is_no_evening_cannot_fall_out(post: Any, studio: Studio, block: str, on: str, words: str) -> None:
    answer = post(f"/weeks/{block}/miss", part=False, on=on)
    assert answer.status_code == 422
    assert words in answer.text
    assert not studio.blocks.block(block).asked


def test_two_blocks_at_one_place_at_one_time_and_somebody_in_both(post: Any, studio: Studio, block: str) -> None:
    number = add(studio.people, Person(name="Aino", stature_m=1.7))
    answer = post("/weeks", part=False, **FORM | {"title": "Juniors", "starts-0": "18:45"})
    assert answer.status_code == 422
    assert "The nearest free time: " in answer.text
    elsewhere = FORM | {"title": "Juniors", "place": "Pier", f"person.{number}": "on"}
    assert post("/weeks", part=False, **elsewhere).status_code == 303
    again = post(f"/weeks/{block}/again", part=False, **FORM | {f"person.{number}": "on"})
    assert again.status_code == 422
    assert "Aino cannot be in both" in again.text


def test_who_comes_goes_with_the_person(studio: Studio, post: Any, tmp_path: Any) -> None:
    number = add(studio.people, Person(name="Aino", stature_m=1.7))
    post("/weeks", part=False, **FORM | {f"person.{number}": "on"})
    assert studio.blocks.all()[0].people == (number,)
    studio.backups = Backups(database=tmp_path / "studio.sqlite")
    studio.backups.take()
    post(f"/people/{number}/remove", part=False)
    assert studio.blocks.all()[0].people == ()
    assert "Aino" not in studio.blocks.all()[0].text


def test_how_it_looks_comes_from_the_plans_and_who_answered(
    client: Any, studio: Studio, block: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(block_planning, "block_view", lambda *_: proposal("", {DAYS[0]: PLAN}).view)
    here = type("Here", (), {"submit": lambda _, task, *values: _answer(task(*values)), "close": lambda _: None})()
    studio.drawing = here
    sheet = client.get(f"/weeks/{block}/sheet").text
    assert "<svg" in sheet
    assert "Balance, minutes of work week by week: 2, 0, 0, 0, 0, 0." in sheet
    for name, begins in (("block.pdf", b"%PDF"), ("members.html", b"<!doctype html>"), ("members.txt", b"Winter")):
        answer = client.get(f"/weeks/{block}/{name}")
        assert answer.status_code == 200
        assert answer.content.startswith(begins), name


def _answer(value: Any) -> Any:
    from concurrent.futures import Future

    future: Future[Any] = Future()
    future.set_result(value)
    return future


def test_cards_of_a_week_are_made_of_each_evening_and_of_what_was_done_before(
    client: Any, studio: Studio, post: Any, block: str
) -> None:
    assert client.get(f"/weeks/{block}/cards?week=1").status_code == 404
    add(studio.people, Person(name="Aino", stature_m=1.7))
    answer = post(f"/weeks/{block}/cards", part=False, week=1, kit="room")
    page = client.get(answer.headers["location"]).text
    sessions = [each.session for each in studio.blocks.evenings(block)]
    assert [bool(each) for each in sessions] == [True, True, False]
    assert page.count("The cards are being made") == 2
    audience = cards_job(studio, studio.sessions.head(sessions[0]), in_room=True).audience
    assert (audience.on, audience.coming) == (DAYS[0], (DAYS[2],))  # Mondays; it was Thursday's turn in between
    cell = "Main/Two/squat"
    record = SetRecord(on=DAYS[0], person="Aino", cell=cell, move="squat", version="base", reps=8, left=3)
    studio.history.add(history_rows(studio, [record]))
    audience = cards_job(studio, studio.sessions.head(sessions[1]), in_room=True).audience
    assert [(each.person, each.cell) for each in audience.history] == [("Aino", cell)]


def test_deleted_it_is_gone_and_its_sessions_stay(client: Any, post: Any, block: str) -> None:
    address = post(f"/weeks/{block}/open", part=False, on=DAYS[0]).headers["location"]
    post(f"/weeks/{block}/remove", part=False)
    assert client.get(f"/weeks/{block}").status_code == 404
    assert client.get(address).status_code == 200


def test_the_job_says_how_far_it_is_and_can_be_stopped(studio: Studio, post: Any) -> None:
    post("/weeks", part=False, **FORM)
    row = studio.blocks.block(block_of(studio))
    job = studio.job("", AudienceSpec(), block=request_of(row, ()))

    def stops(message: Any) -> None:
        assert isinstance(message, Progress)
        assert re.search("versions", message.words)
        raise TaskCancelled

    with pytest.raises(TaskCancelled):
        do_job(job, stops)


def test_an_evening_made_by_hand_is_unlocked_and_planned_with_the_others(
    client: Any, studio: Studio, post: Any, block: str
) -> None:
    assert "Plan again …" not in client.get(f"/weeks/{block}").text  # nothing is locked yet
    session = post(f"/weeks/{block}/open", part=False, on=DAYS[1]).headers["location"].removeprefix("/session/")
    post(f"/session/{session}/text", part=False, text="# mine\n" + PLAN, base=1)
    assert client.get(f"/weeks/{block}").text.count("/unlock") == 1
    post(f"/weeks/{block}/unlock", part=False, on=DAYS[1])
    row = studio.blocks.block(block)
    file = block_from_text(row.text, FILE, studio.library)
    assert row.asked
    assert DAYS[1] not in by_hand(file, {DAYS[1]: "# mine\n" + PLAN})
    kept = earlier_of(file, dict.fromkeys(DAYS, PLAN) | {DAYS[1]: "# mine\n" + PLAN}, date(2026, 12, 1))
    assert not kept.evenings
    post(f"/weeks/{block}/leave", part=False)
    page = client.get(f"/weeks/{block}").text
    assert "planned with the others the next time" in page
    assert "/unlock" not in page
    assert post(f"/weeks/{block}/unlock", part=False, on="2027-05-01").status_code == 422
