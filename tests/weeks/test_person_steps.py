"""The next step of people whom the coach knows, on the demo session, and the command that prints it."""

import html
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from everyrung.cli import main
from everyrung.moves.library import standard_library
from everyrung.people.history import history_from_text
from everyrung.people.read import read_people
from everyrung.pipeline import AudienceSpec, Options, ready_course
from everyrung.pipeline import run as run_plan
from everyrung.publish.card import card_html, card_text, person_card
from everyrung.store.cache import default_cache
from everyrung.terms.plan import Ref
from everyrung.weeks.next_step import Why
from everyrung.weeks.person_steps import PersonStep, person_steps
from everyrung.weeks.step_advice import since_lines

EXAMPLES = Path(__file__).parents[2] / "examples"
DEMO, PEOPLE = EXAMPLES / "boathouse-30.toml", EXAMPLES / "boathouse-people.csv"
PLAN = Path(__file__).parent / "evening.toml"  # whose doses no rehearsal changes
HEAD = "date,person,cell,move,version,load,reps,left"
HINGE = "Main/Two/hinge"
STRONG = ((16, 5), (23, 6))  # days of November, and how many were left


@pytest.fixture(scope="module")
def along() -> Any:
    return ready_course(PLAN, Options(cache=default_cache()))


def wilma(
    along: Any, *rows: str, on: date = date(2026, 11, 30), coming: tuple[date, ...] = ()
) -> dict[str, PersonStep]:
    """Wilma's steps by cell, after these rows of hers."""
    text = "\n".join([HEAD, *(f"{row.split(',')[0]},Wilma,{row.split(',', 1)[1]}" for row in rows)])
    library = standard_library()
    history = history_from_text(text, "history.csv", library)
    one = next(each for each in read_people(PEOPLE) if each.name == "Wilma")
    return {
        str(step.ref): step
        for step in person_steps(along, (one,), history, library, on, in_room=True, coming=coming)[0]
    }


def hinge(day: int, left: int, month: int = 11) -> str:
    return f"2026-{month:02d}-{day:02d},{HINGE},hip-hinge,pair,2 x 10 lb,8,{left}"


def test_one_good_evening_keeps_two_earn_a_step_with_its_reason_and_a_way_to_keep(along: Any) -> None:
    once = wilma(along, hinge(23, 3))[HINGE]
    assert (once.why, once.keeps) == (Why.KEEP, True)
    assert once.reason == (
        "As last time. The next step comes after 1 more evening with 7 reps or more and two left in every set."
    )
    steep = wilma(along, hinge(16, 3), hinge(23, 3))[HINGE]
    assert steep.why is Why.UP  # with fewer of the eight that are led, for eight would leave too little
    assert steep.version
    assert steep.version.dose == f"{steep.version.reps} of 8 reps"
    twice = wilma(along, hinge(16, 5), hinge(23, 6))[HINGE]
    assert (twice.why, twice.keeps) == (Why.UP, False)
    assert "two evenings running" in twice.reason
    assert f"Or keep {twice.before}" in twice.reason
    assert twice.before == "Hip hinge, two dumbbells, 2 x 10 lb"
    assert twice.take.endswith("2 x 10 lb")  # no heavier piece is there: a harder version with the same load


def test_whoever_would_have_too_little_left_stops_before_the_others(along: Any) -> None:
    """Repetitions first, then the load (ratamess2009): of eight that are led at least five, and never more."""
    doses = {}
    for left in (0, 1, 5):
        step = wilma(along, hinge(23, left))[HINGE]
        assert step.version
        doses[left] = step.version.reps, step.version.dose
        assert step.why is Why.KEEP
    assert doses[5] == (8, "8 reps")
    assert doses[0][0] < 8
    assert doses[0][1] == f"{doses[0][0]} of 8 reps"
    assert doses[0][0] <= doses[1][0]
    assert "3 left" in wilma(along, hinge(23, 0))[HINGE].effort


def test_what_goes_by_the_clock_is_as_long_for_everybody() -> None:
    course = ready_course(EXAMPLES / "upper-body-30.toml", Options(cache=default_cache()))
    cell = next(each.cell for each in course.slots if not each.cell.dose.reps)
    step = wilma(course, f"2026-11-23,{cell.ref},{cell.move.key},{cell.rung.key},,,0")[str(cell.ref)]
    assert step.why is Why.KEEP
    assert step.version
    assert " of " not in step.version.dose


def test_the_day_of_the_next_step_is_said_where_the_evenings_to_come_are_known(along: Any) -> None:
    """One evening more: it comes on the first to come; with nothing earned yet on the second."""
    coming = (date(2026, 12, 7), date(2026, 12, 14))
    for left, day in ((3, "Monday 7 December"), (1, "Monday 14 December")):
        assert f"on {day} at the earliest" in wilma(along, hinge(23, left), coming=coming)[HINGE].reason
    assert "at the earliest" not in wilma(along, hinge(23, 1), coming=coming[:1])[HINGE].reason


def test_a_card_after_the_first_evening_has_the_step_and_says_what_is_new() -> None:
    """The version of the step stands where the first advice would, without a second answer that is not earned."""
    library, one = standard_library(), next(each for each in read_people(PEOPLE) if each.name == "Wilma")
    sheet = "\n".join(
        [HEAD, *(f"2026-11-{day},Wilma,{HINGE},hip-hinge,pair,2 x 10 lb,8,{left}" for day, left in STRONG)]
    )
    who = AudienceSpec(
        people=(one,), in_room=True, history=history_from_text(sheet, "history.csv", library), on=date(2026, 11, 30)
    )
    run = run_plan(PLAN, options=Options(audience=who, cache=default_cache()))
    (advice,) = run.advice
    cell = next(each for each in advice.cells if str(each.ref) == HINGE)
    assert cell.take is not None
    assert (cell.take.load, cell.harder) == ("2 x 10 lb", None)
    (line,) = advice.since
    assert line.startswith(f"Hip hinge (Two): {cell.take.rung}, 2 x 10 lb. New: two evenings running")
    assert line.endswith("Or keep Hip hinge, two dumbbells, 2 x 10 lb.")
    card = person_card(run, advice)
    assert line in card_text(card)
    assert line in html.unescape(card_html(card))
    assert "Or as last time: Hip hinge, two dumbbells, 2 x 10 lb." in card_text(card)
    assert card_html(card).count('<input type="checkbox">') == 1


def test_what_is_alike_stands_in_one_line() -> None:
    ref, keep = Ref(block="Main", round="One", cell="row"), "As last time. The next step comes after 1 more evening."
    rows = [
        ("Row", "row", keep),
        ("Squat", "row", keep),
        ("Row", "row", keep),
        ("Press", "other", "New: it is. Or keep row."),
    ]
    steps = [
        PersonStep(ref=ref, move=move, take=take, before="row", why=Why.KEEP, reason=reason, version=None, effort="")
        for move, take, reason in rows
    ]
    assert list(since_lines(steps)) == [
        "Press (One): other. New: it is. Or keep row.",
        "Row, Squat: as last time. The next step comes after 1 more evening.",
    ]


def test_two_sensible_answers_in_one_evening_move_a_card_by_at_most_one_step(along: Any) -> None:
    """Whatever is said after two sets of one evening: as last time, or the nearest that is easier."""
    kept = wilma(along, hinge(23, 3))[HINGE]
    easier = wilma(along, hinge(16, 0), hinge(23, 0))[HINGE]
    for one, other in ((2, 5), (5, 2), (3, 3), (5, 5), (4, 1), (1, 3)):
        step = wilma(along, *(hinge(23, left).replace(HINGE, "") for left in (one, other)))[HINGE]
        assert step.take in (kept.take, easier.take), (one, other, step)


def test_nothing_left_twice_is_one_step_down_and_never_heavier(along: Any) -> None:
    step = wilma(along, hinge(16, 0), hinge(23, 0))[HINGE]
    assert step.why is Why.BELOW
    assert not step.keeps
    assert "Easier today" in step.reason


def test_what_was_said_of_a_version_counts_more_than_the_forecast(along: Any) -> None:
    """Whoever left three with it is not told that it would leave too little, whatever people of their kind can do."""
    assert wilma(along, hinge(23, 3))[HINGE].why is Why.KEEP
    once, twice = wilma(along, hinge(23, 0))[HINGE], wilma(along, hinge(16, 0), hinge(23, 0))[HINGE]
    assert (once.why, twice.why) == (Why.KEEP, Why.BELOW)  # a day may be bad
    pressed = "2026-11-23,Main/Three/lunge,split-squat,pair,2 x 10 lb,6,3"
    assert wilma(along, pressed)["Main/Three/lunge"].why is Why.KEEP


def test_weeks_away_earn_nothing_and_three_are_one_step_down(along: Any) -> None:
    two = wilma(along, hinge(9, 4), hinge(16, 3))[HINGE]
    assert (two.why, two.keeps) == (Why.KEEP, True)
    three = wilma(along, hinge(1, 4), hinge(8, 3))[HINGE]
    assert three.why is Why.AWAY
    assert "3 weeks away" in three.reason


def test_the_first_time_is_what_the_card_advises_and_other_cells_are_untouched(along: Any) -> None:
    nothing = wilma(along, "2026-11-23,Main/One/squat,ball-wall-squat,part,,8,3")
    some = wilma(along, hinge(16, 4), hinge(23, 3))
    assert nothing[HINGE].why is Why.FIRST
    assert nothing[HINGE].reason == "First time here."
    others = [ref for ref in some if ref not in (HINGE, "Main/One/squat")]
    assert len(others) > 10
    assert all(some[ref] == nothing[ref] for ref in others)


def test_rows_of_the_day_itself_and_later_are_not_known_yet(along: Any) -> None:
    steps = wilma(along, hinge(16, 5), hinge(23, 6), hinge(30, 0))
    assert steps[HINGE].why is Why.UP


def test_the_readmes_example_has_a_step_up_one_down_and_one_that_stays(capsys: pytest.CaptureFixture[str]) -> None:
    history = EXAMPLES / "boathouse-history.csv"
    command = ["next", str(DEMO), "--people", str(PEOPLE), "--history", str(history), "--on", "2026-11-30", "--in-room"]
    assert main(command) == 0
    printed = capsys.readouterr().out
    for reason in ("New: two evenings running", "Easier today: 2 evenings", "First time here."):
        assert reason in printed


@pytest.mark.usefixtures("along")  # computed once for all
def test_the_command_prints_it_and_a_name_that_nobody_has_is_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    history = tmp_path / "history.csv"
    command = ["next", str(PLAN), "--people", str(PEOPLE), "--history", str(history), "--on", "2026-11-30", "--in-room"]
    history.write_text(f"{HEAD}\n2026-11-23,Wilma,{HINGE},hip-hinge,pair,2 x 10 lb,8,3\n", encoding="utf-8")
    assert main(command) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == "Wilma"
    assert any(
        line.startswith(f"  {HINGE}: Hip hinge, two dumbbells, 2 x 10 lb, 8 reps. As last time.") for line in lines
    )
    history.write_text(f"{HEAD}\n2026-11-23,Wilmaa,{HINGE},hip-hinge,pair,2 x 10 lb,8,3\n", encoding="utf-8")
    assert main(command) == 2
    assert "Nearest: Wilma" in capsys.readouterr().err
