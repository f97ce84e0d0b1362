"""Left and right as a truth table: what people see of somebody who faces them, turns round, is filmed, and flipped."""

import pytest

from everyrung.cues.mirroring import leader_side
from everyrung.runsheet.words import VIEW_WORDS
from everyrung.terms.enums import Side, View

L, R = Side.LEFT, Side.RIGHT
# Facts of looking: face to face her left is on your right; from behind it is on your left; a camera sees as you do, and
# flipping its picture left for right swaps them once more and turns writing round.
TABLE = [
    (View.FACING, L, R, True), (View.FACING, R, L, True),
    (View.BACK_TURNED, L, L, True), (View.BACK_TURNED, R, R, True),
    (View.FILMED, L, R, True), (View.FILMED, R, L, True),
    (View.FILMED_FLIPPED, L, L, False), (View.FILMED_FLIPPED, R, R, False),
]  # fmt: skip


@pytest.mark.parametrize(("view", "side", "moves", "reads"), TABLE)
def test_the_leader_moves_the_limb_that_is_seen_on_the_participants_side(
    view: View, side: Side, moves: Side, reads: bool
) -> None:
    found = leader_side(side, view)
    assert (found.moves, found.says, found.seen_on, found.print_reads) == (moves, side, side, reads)


@pytest.mark.parametrize("view", list(View))
def test_both_sides_are_both_sides(view: View) -> None:
    assert leader_side(Side.BOTH, view).moves is Side.BOTH


@pytest.mark.parametrize("view", list(View))
def test_the_run_sheet_says_the_same(view: View) -> None:
    """The sheet's sentence: for the participant's left, which limb is the leader's own."""
    moved = "right" if leader_side(L, view).moves is R else "left"
    assert f"move your {'own ' if moved == 'left' else ''}{moved}" in VIEW_WORDS[view]
