"""Getting down and up, counted by hand on paper for three orders of the same moves."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from everyrung.checks.rules.changes import count_floor_changes, floor_changes
from everyrung.checks.rules.training import floor_late
from everyrung.terms.enums import BlockKind
from everyrung.terms.session import Cell, Session
from everyrung.timing.timeline import build_timeline

PUSH = '  move = "push-up"\n  as = "push"\n  rung = "knees"\n  dose = "8 reps"\n'
HINGE = '  move = "hip-hinge"\n  as = "hinge"\n  dose = "10 reps"\n'
SWAPPED = ((PUSH, "A GAP"), (HINGE, PUSH), ("A GAP", HINGE))  # the push stands second, between standing moves
TWO = ('  name = "Two"\n', '  name = "Two"\n  skip = ["push"]\n')
THREE = ('  name = "Three"\n', '  name = "Three"\n  skip = ["push"]\n')
NO_FLOOR = ('  name = "Three"\n', '  name = "Three"\n  skip = ["push", "bridge", "bug"]\n')


@pytest.mark.parametrize(
    ("edits", "changes", "found"),
    [
        ((), 5, False),  # down | up, down | up, down
        ((*SWAPPED, TWO, NO_FLOOR), 6, False),  # down, up, down | up, down | up
        ((*SWAPPED, TWO, THREE), 7, True),  # down, up, down | up, down | up, down
        (SWAPPED, 11, True),  # down, up, down | up, down, up, down | up, down, up, down
    ],
)
def test_more_than_two_changes_a_round_are_found(
    session: Callable[..., Session], edits: tuple[tuple[str, str], ...], changes: int, found: bool
) -> None:
    made = session(*edits)
    timeline = build_timeline(made)
    assert count_floor_changes(timeline, "Main") == changes
    assert bool(list(floor_changes(made, timeline))) is found


def test_the_better_order_is_led_with_as_many_changes_as_the_remedy_says(session: Callable[..., Session]) -> None:
    made = session(*SWAPPED)
    (found,) = floor_changes(made, build_timeline(made))
    assert "push-up, bridge, dead bug. That makes 5 instead of 11" in found.remedy
    shorter_rounds = session(*SWAPPED, TWO, THREE)
    (found,) = floor_changes(shorter_rounds, build_timeline(shorter_rounds))
    assert "hip hinge, push-up, bridge, dead bug. That makes 5 instead of 7" in found.remedy
    as_told = session()  # floor moves stand together in the clean plan, the standing ones in another order
    assert count_floor_changes(build_timeline(as_told), "Main") == 5


def test_nobody_goes_down_to_the_floor_for_the_first_time_in_a_later_round(session: Callable[..., Session]) -> None:
    whole = session()
    assert list(floor_late(whole, build_timeline(whole))) == []
    main = whole.of_kind(BlockKind.MAIN)[0]

    def standing(cell: Cell) -> bool:
        return not cell.rung.form.position.on_floor and cell.ref.cell == "row"

    first = replace(main.rounds[0], cells=tuple(filter(standing, main.rounds[0].cells)))
    late = replace(whole, blocks=(replace(main, rounds=(first, *main.rounds[1:])),))
    (found,) = floor_late(late, build_timeline(late))
    assert found.place == "Main / Two / push; Main / Two / bridge; Main / Two / bug"
    assert "first in round Two" in found.measured
