"""A session laid on its plan: what was put in is found, at its time, and nothing else is."""

import re
from collections import Counter
from functools import cache
from pathlib import Path

import pytest
from looking_back import FIRST_SEED, LEVELS, MARKED, NEAR_S, ROLLING, SESSIONS, TARGETS, laid, score, totals
from spoken import lay, lines_of, sets_of

from everyrung.lookback.notes import notes
from everyrung.lookback.outcome import Change, Outcome
from everyrung.lookback.plan_sets import PlanSet


@cache
def boathouse() -> tuple[PlanSet, ...]:
    return sets_of("boathouse-30")


def place(ref: str, part: int = 0) -> int:
    return next(at for at, each in enumerate(boathouse()) if (each.ref, each.part) == (ref, part))


def changes(outcome: Outcome) -> list[tuple[Change, str, bool]]:
    return [(each.change, each.name, each.is_sure) for each in outcome.changes]


def order_without(*gone: int) -> list[int]:
    return [at for at in range(len(boathouse())) if at not in gone]


def test_a_session_led_as_planned_is_read_as_planned() -> None:
    lines, starts = lines_of(boathouse(), order_without())
    outcome = lay(boathouse(), lines)
    assert changes(outcome) == []
    assert all(each.is_sure for each in outcome.steps)
    off_s = [abs((each.at_ms or 0) / 1000 - start) for each, start in zip(outcome.steps, starts, strict=True)]
    assert max(off_s) <= 2


def test_a_cell_left_out_is_found() -> None:
    gone = place("Main/Two/curl")
    outcome = lay(boathouse(), lines_of(boathouse(), order_without(gone))[0])
    assert changes(outcome) == [(Change.SKIPPED, "Ball leg curl", True)]


def test_a_second_side_left_out_is_asked_about() -> None:
    """Case H02 of our cases. Without a word it may have been done all the same: nothing is claimed."""
    gone = place("Main/Two/lunge", 1)
    outcome = lay(boathouse(), lines_of(boathouse(), order_without(gone))[0])
    first = notes(outcome)[0]
    assert first.text == f"{boathouse()[gone].name}: nobody is heard starting it; check whether it was done."
    assert not first.is_sure


def test_two_cells_the_other_way_round_are_found() -> None:
    first = place("Main/Two/curl")
    order = order_without()
    order[first], order[first + 1] = order[first + 1], order[first]
    outcome = lay(boathouse(), lines_of(boathouse(), order)[0])
    assert changes(outcome) == [(Change.SWAPPED, boathouse()[first].name, True)]


def test_a_side_done_twice_is_found() -> None:
    left = place("Main/Two/lunge")
    lines, starts = lines_of(boathouse(), [*range(left + 1), left, *range(left + 1, len(boathouse()))])
    lines = [(at_s, text) for at_s, text in lines if at_s != starts[left + 1]]
    outcome = lay(boathouse(), [*lines, (starts[left + 1], "once more left")])
    assert changes(outcome) == [(Change.AGAIN, boathouse()[left].name, True)]


def test_a_move_that_is_not_in_the_plan_is_named() -> None:
    before = place("Main/Two/lift")
    lines, starts = lines_of(boathouse(), order_without())
    stray_s = starts[before + 1]
    late = [(at_s + (50 if at_s >= stray_s else 0), text) for at_s, text in lines]
    outcome = lay(boathouse(), [*late, (stray_s, "next the bear crawl on the spot")])
    assert [(each.change, each.name) for each in outcome.changes] == [(Change.STRAY, "Bear crawl on the spot")]
    assert abs((outcome.changes[0].at_ms or 0) / 1000 - stray_s) <= NEAR_S


def test_what_is_offered_beside_a_set_begins_none() -> None:
    """A leader who names easier and harder versions has not led them."""
    lines, _ = lines_of(boathouse(), order_without())
    options = [
        (each.at_ms / 1000 + 8, f"easier {each.cell.options[0].rung.name}") for each in boathouse() if each.cell.options
    ]
    assert changes(lay(boathouse(), [*lines, *options])) == []


def test_a_set_begins_where_it_is_named_and_not_where_a_version_is_offered() -> None:
    at = place("Main/Two/hinge")
    lines, starts = lines_of(boathouse(), order_without())
    lines = [(at_s, "hip hinge" if at_s == starts[at] else text) for at_s, text in lines]
    outcome = lay(boathouse(), [*lines, (starts[at] + 14, f"harder {boathouse()[at].cell.rung.name}")])
    assert abs((outcome.steps[at].at_ms or 0) / 1000 - starts[at]) <= NEAR_S


@pytest.mark.parametrize("text", ["hello", "squat", "round two"])
def test_a_recording_of_something_else_is_read_without_a_fault(text: str) -> None:
    outcome = lay(boathouse(), [(at_s, text) for at_s in range(0, 300, 50)])
    assert len({each.place for each in outcome.steps}) == len(boathouse())


def test_a_recording_that_begins_late_and_ends_early_has_the_rest() -> None:
    lines, _ = lines_of(boathouse(), order_without())
    first, last = boathouse()[6].at_ms / 1000, boathouse()[20].at_ms / 1000
    part = [(at_s - first, text) for at_s, text in lines if first <= at_s < last]
    outcome = lay(boathouse(), part)
    assert [each.place for each in outcome.steps if not each.change] == list(range(6, 20))


@pytest.mark.parametrize(("level", "least"), [(0.0, 0.78), (0.35, 0.70)])
def test_made_transcripts_are_laid_on_their_plans(level: float, least: float) -> None:
    """Two of the thirty sessions of docs/looking-back.md, with room for a change of their scripts; what was asked is
    held over all thirty below.
    """
    counts = score(*laid(FIRST_SEED + 1, level)) + score(*laid(FIRST_SEED + 6, level))
    assert counts["within 5 s"] >= least * counts["sets"]
    assert counts["false alarms"] <= 4


def test_marks_far_apart_name_the_sets_and_claim_no_five_seconds() -> None:
    sessions = [laid(FIRST_SEED + seed, 0.0, MARKED) for seed in (1, 6)]  # the two of above
    assert {outcome.transcript.resolution_ms for outcome, _ in sessions} == {20_000}
    counts = sum((score(*each) for each in sessions), Counter())
    assert counts["within 60 s"] >= 0.9 * counts["sets"]


def test_a_set_that_nearly_every_way_holds_is_not_said_to_be_left_out() -> None:
    """With a mark each 40 s a set may begin in any of forty seconds: the likeliest single way left out seven here."""
    counts = score(*laid(FIRST_SEED + 3, 0.2, MARKED))
    assert counts["false alarms"] <= 1
    assert counts["within 60 s"] >= 0.8 * counts["sets"]


@pytest.mark.slow
@pytest.mark.parametrize(("level", "target"), list(zip(LEVELS, TARGETS, strict=True)))
def test_what_was_asked_holds_on_thirty_sessions_a_level(level: float, target: float) -> None:
    """Issue 23: boundaries within five seconds, and at most one false alarm a session. A minute a level."""
    counts = totals(level)
    assert counts["within 5 s"] / counts["sets"] >= target
    assert counts["false alarms"] <= SESSIONS[ROLLING]


@pytest.mark.slow
def test_swaps_and_doubled_sides_are_never_sure_where_a_third_of_the_words_is_wrong() -> None:
    """Issue 23, part 3: at a word error of 35 %; where words are right, most that are found are sure."""
    for change in (Change.SWAPPED, Change.AGAIN):
        assert totals(0.35)[f"{change} surely found"] == 0
        assert totals(0.0)[f"{change} surely found"] >= totals(0.0)[f"{change} put in"] / 2


def test_another_order_is_unsure_where_words_are_misspelt() -> None:
    """The session of the test above, with a letter wrong in most words."""
    first = place("Main/Two/curl")
    order = order_without()
    order[first], order[first + 1] = order[first + 1], order[first]
    lines = [(at_s, re.sub(r"([a-z]{3})[aeiou]", r"\1x", text)) for at_s, text in lines_of(boathouse(), order)[0]]
    outcome = lay(boathouse(), lines)
    assert [each.change for each in outcome.changes if each.is_sure and each.change is Change.SWAPPED] == []
    assert Change.SWAPPED in [each.change for each in outcome.changes]


@pytest.mark.slow
def test_the_page_has_what_is_measured() -> None:
    """To three in a hundred, for the script of the examples changes; `python docs/accuracy/looking_back.py` has it."""
    page = (Path(__file__).parents[2] / "docs" / "looking-back.md").read_text(encoding="utf-8")
    for level in LEVELS:
        row = re.search(rf"^\| {level:.0%}, {ROLLING} \| \d+ \| \*\*([\d.]+) %", page, re.MULTILINE)
        assert row is not None
        assert abs(float(row[1]) / 100 - totals(level)["within 5 s"] / totals(level)["sets"]) <= 0.03
