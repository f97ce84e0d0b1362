"""Another slot from the same plan: whole sets go in the cut order, the cool-down and equal sides stay."""

from dataclasses import replace

import pytest

from everyrung.moves.library import standard_library
from everyrung.plan.read import plan_from_text
from everyrung.plan.resolve import resolve
from everyrung.terms.enums import BlockKind, Side
from everyrung.terms.session import Session
from everyrung.timing.cut_order import FLOOR_MS, moving_ms
from everyrung.timing.refit import refit
from everyrung.timing.timeline import build_timeline

PLAN = """\
title = "Evening"
slot_minutes = 30
cut_order = ["Main/Three/lunge", "Warm-up", "Cool-down", "Main/Two/lunge/left", "Main/Three", "Main/Two"]
[who]
in_room = 8
[[block]]
kind = "warm-up"
[[block.move]]
move = "march"
dose = "5:00"
[[block]]
kind = "main"
[[block.move]]
move = "split-squat"
as = "lunge"
dose = "10 a side"
[[block.move]]
move = "hip-hinge"
dose = "12 reps"
[[block.round]]
name = "One"
[[block.round]]
name = "Two"
like = "One"
[[block.round]]
name = "Three"
like = "Two"
[[block]]
kind = "reserve"
name = "Bonus"
[[block.move]]
move = "calf-raise"
dose = "15 reps"
[[block]]
kind = "cool-down"
[[block.move]]
move = "calf-stretch"
dose = "1:00 a side"
"""


def session_of(text: str = PLAN) -> Session:
    return resolve(plan_from_text(text, "evening.toml"), standard_library())


def repetitions(session: Session, side: Side) -> int:
    return sum(bout.reps for cell in session.cells for bout in cell.bouts if bout.side is side)


TOTAL_MS = build_timeline(session_of()).total_ms


@pytest.mark.parametrize("shorter_ms", [1, 60_000, 150_000, 250_000])
def test_a_shorter_slot_is_kept_by_the_cut_order_and_says_what_was_lost(shorter_ms: int) -> None:
    done = refit(session_of(), TOTAL_MS - shorter_ms)
    assert done.after_ms == build_timeline(done.session).total_ms <= done.slot_ms
    assert done.lost[0].place.startswith("Main/Three")
    assert not done.problem
    saved_ms = sum(each.duration_ms for each in done.lost) - sum(each.duration_ms for each in done.gained)
    assert saved_ms == done.before_ms - done.after_ms
    assert repetitions(done.session, Side.LEFT) == repetitions(done.session, Side.RIGHT)
    assert done.session.blocks[-1].kind is BlockKind.COOL_DOWN
    assert done.session.blocks[-1] == session_of().blocks[-1]
    assert build_timeline(done.session).block_ms("Warm-up") >= FLOOR_MS


@pytest.mark.parametrize("minutes", [15, 20, 24, 30, 40, 55])
def test_the_time_it_names_is_that_of_its_own_timeline(minutes: int) -> None:
    session = session_of()
    fitted = refit(session, minutes * 60_000)
    assert fitted.before_ms == TOTAL_MS
    assert fitted.after_ms == build_timeline(fitted.session).total_ms
    assert fitted == refit(session, minutes * 60_000, timeline=build_timeline(session))


def test_what_may_not_go_is_kept_with_the_reason() -> None:
    done = refit(session_of(), TOTAL_MS - 250_000)
    assert [kept.split(":")[0] for kept in done.kept] == ["Warm-up", "Cool-down", "Main / Two / lunge / left"]


def test_a_slot_that_cannot_be_kept_says_why() -> None:
    done = refit(session_of(), 480_000)
    assert "still" in done.problem
    assert "over" in done.problem


def test_a_longer_slot_takes_the_reserve_in_before_the_cool_down() -> None:
    done = refit(session_of(), TOTAL_MS + 120_000)
    assert [block.name for block in done.session.blocks] == ["Warm-up", "Main", "Bonus", "Cool-down"]
    (gained,) = done.gained
    more = build_timeline(done.session).total_ms - build_timeline(session_of()).total_ms
    assert (gained.duration_ms, gained.came_in) == (more, True)
    assert str(gained).endswith(" more)")
    assert not done.session.reserve
    assert done.after_ms <= done.slot_ms


def test_a_much_longer_slot_says_how_much_stays_empty() -> None:
    assert "too short with the reserve taken in" in refit(session_of(), TOTAL_MS + 1_200_000).problem


BY_ROUND = PLAN.replace('dose = "10 a side"', 'dose = "10 a side"\nsides = "one side a round"').replace(
    'name = "Three"\nlike = "Two"\n', 'name = "Three"\nlike = "Two"\n[[block.round]]\nname = "Four"\nlike = "Two"\n'
)


def test_a_side_never_goes_without_the_other() -> None:
    alone = BY_ROUND.replace('cut_order = ["Main/Three/lunge", "Warm-up",', 'cut_order = ["Main/Four", "Warm-up",')
    alone = alone.replace(', "Main/Three", "Main/Two"]', "]")
    session = session_of(alone)
    done = refit(session, build_timeline(session).total_ms - 20_000)
    assert not done.lost
    assert "sides unequal" in done.kept[0]
    assert "still" in done.problem


def test_a_side_goes_with_the_place_that_evens_it() -> None:
    paired = BY_ROUND.replace('cut_order = ["Main/Three/lunge",', 'cut_order = ["Main/Four/lunge", "Main/Three/lunge",')
    session = session_of(paired)
    done = refit(session, build_timeline(session).total_ms - 20_000)
    assert [each.place for each in done.lost] == ["Main/Four/lunge", "Main/Three/lunge"]
    assert repetitions(done.session, Side.LEFT) == repetitions(done.session, Side.RIGHT)


def test_a_reserve_of_one_side_only_is_not_taken_in() -> None:
    text = PLAN.replace(
        'move = "calf-raise"\ndose = "15 reps"', 'move = "split-squat"\nsides = "left only"\ndose = "5 a side"'
    )
    done = refit(session_of(text), TOTAL_MS + 300_000)
    assert not done.gained


def test_something_of_the_main_part_is_always_left() -> None:
    done = refit(session_of(PLAN.replace("cut_order = [", 'cut_order = ["Main", ')), 480_000)
    assert "nothing of the main part would be left" in done.kept[0]
    assert done.session.of_kind(BlockKind.MAIN)


def test_the_places_inside_a_round_that_goes_are_not_told_twice() -> None:
    text = PLAN.replace('"Warm-up", "Cool-down", "Main/Two/lunge/left", ', '"Main/Three/hip-hinge", ')
    done = refit(session_of(text), TOTAL_MS - 170_000)
    places = [each.place for each in done.lost]
    assert not ("Main/Three" in places and any(place.startswith("Main/Three/") for place in places))


def test_a_rest_is_no_warm_up() -> None:
    """The floor counts what keeps people moving: a minute's march with four minutes of rest is no warm-up."""
    text = PLAN.replace('kind = "warm-up"\n', 'kind = "warm-up"\nrest = "4:30"\n', 1).replace(
        'dose = "5:00"\n', 'dose = "0:30"\n[[block.move]]\nmove = "arm-circles"\ndose = "0:30"\n', 1
    )
    session = session_of(text)
    assert moving_ms(session, build_timeline(session), BlockKind.WARM_UP) < FLOOR_MS


def test_what_is_gone_already_is_not_cut_again() -> None:
    once = refit(session_of(), TOTAL_MS - 250_000)
    again = refit(once.session, 480_000)
    places = [each.place for each in (*once.lost, *again.lost)]
    assert len(places) == len(set(places))
    assert all(each.duration_ms > 0 for each in again.lost)


def test_a_set_that_fits_after_all_is_put_back() -> None:
    """Cutting round Three whole makes room again for the set of round Two that had gone before it."""
    text = PLAN.replace('cut_order = ["Main/Three/lunge",', 'cut_order = ["Main/Two/hip-hinge", "Main/Three",')
    session = session_of(text)
    whole = build_timeline(session).total_ms
    only_round = whole - build_timeline(replace_without_three(session)).total_ms
    done = refit(session, whole - only_round)
    assert [each.place for each in done.lost] == ["Main/Three"]


def replace_without_three(session: Session) -> Session:
    blocks = tuple(
        replace(block, rounds=tuple(each for each in block.rounds if each.name != "Three")) for block in session.blocks
    )
    return replace(session, blocks=blocks)
