"""What both sides of a move come to, and which of them is owed what."""

from dataclasses import replace

import pytest

from everyrung.moves.library import standard_library
from everyrung.plan.read import plan_from_text
from everyrung.plan.resolve import resolve
from everyrung.terms.enums import Side, Sidedness
from everyrung.timing.side_totals import Sides, SideWork, sides_of

EVEN = SideWork(reps=8, duration_ms=32_000, moved_kg=80.0)


@pytest.mark.parametrize(
    ("other", "debt"),
    [
        (replace(EVEN, reps=6), "2 reps"),
        (replace(EVEN, reps=7), "1 rep"),
        (replace(EVEN, duration_ms=2_000), "0:30"),
        (replace(EVEN, moved_kg=71.0), "9 kg in all"),
        (SideWork(reps=6, duration_ms=1_000, moved_kg=0.0), "2 reps"),
    ],
)
def test_the_side_that_did_less_is_owed_repetitions_else_time_else_load(other: SideWork, debt: str) -> None:
    for sides, owed in ((Sides(left=other, right=EVEN), Side.LEFT), (Sides(left=EVEN, right=other), Side.RIGHT)):
        assert not sides.equal
        assert (sides.owed_side, sides.debt) == (owed, debt)


def test_sides_of_the_same_work_are_equal_and_a_twentieth_of_a_kilo_a_repetition_is_the_same_load() -> None:
    assert Sides(left=EVEN, right=EVEN).equal
    for off in (-1, 1):
        assert Sides(left=EVEN, right=replace(EVEN, moved_kg=80.0 + off * 8 * 0.04)).equal
        assert not Sides(left=EVEN, right=replace(EVEN, moved_kg=80.0 + off * 8 * 0.06)).equal


def test_of_holds_the_seconds_count_where_repetitions_would() -> None:
    held = SideWork(duration_ms=40_000, moved_kg=400.0)
    assert Sides(left=held, right=replace(held, moved_kg=401.9)).equal
    assert not Sides(left=held, right=replace(held, moved_kg=402.1)).equal


def test_work_is_said_with_what_there_is_of_it() -> None:
    assert str(EVEN) == "8 reps, 0:32, 80 kg moved in all"
    assert str(SideWork(duration_ms=40_000)) == "0:40"


def test_of_seconds_in_turn_each_side_has_half_and_together_they_are_the_set() -> None:
    text = 'title = "One"\nslot_minutes = 10\n[who]\nin_room = 1\n[[block]]\nkind = "main"\n'
    text += '[[block.move]]\nmove = "front-plank"\ndose = "40 s"\n'
    cell = next(resolve(plan_from_text(text, "one.toml"), standard_library()).cells)
    in_turn = replace(cell, rung=replace(cell.rung, form=replace(cell.rung.form, sides=Sidedness.ALTERNATING)))
    found = sides_of(in_turn)
    assert found.left == found.right
    assert found.left.duration_ms + found.right.duration_ms == 40_000
