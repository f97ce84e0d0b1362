"""What stands beside a ladder: other moves of the pattern, the nearest first (common practice, no source)."""

from everyrung.moves.alternatives import alternatives, other_moves
from everyrung.moves.library import standard_library
from everyrung.terms.enums import Caution, Pattern
from everyrung.terms.lever import Swap

LIBRARY = standard_library()
SWAPS = [
    (move, rung, swap.move)
    for move in LIBRARY.keys
    for rung in LIBRARY.move(move).versions
    for swap in rung.levers
    if isinstance(swap, Swap)
]
PLACES = {
    (Pattern.CALF, Pattern.KNEE), (Pattern.MOBILITY, Pattern.CALF), (Pattern.MOBILITY, Pattern.TRUNK),
    (Pattern.KNEE, Pattern.TRUNK), (Pattern.TRUNK, Pattern.MOBILITY), (Pattern.TRUNK, Pattern.HIP),
    (Pattern.MOBILITY, Pattern.PUSH),
}  # fmt: skip


def test_a_pull_without_a_band_is_not_far_from_one_with_it() -> None:
    found = alternatives(LIBRARY, LIBRARY.rung("pull-down", "base"), kit=[])
    assert found
    assert all(not one.needs_kit and LIBRARY.move(one.move).pattern is Pattern.PULL for one in found)


def test_who_may_not_lie_down_finds_a_stand_in_for_the_hollow_hold() -> None:
    found = alternatives(LIBRARY, LIBRARY.rung("hollow-hold", "base"), avoid=[Caution.LYING_BACK, Caution.TO_FLOOR])
    assert found
    assert not [one for one in found if one.form.position.on_floor]


def test_each_move_is_offered_once_and_never_the_move_itself() -> None:
    found = [one.move for one in alternatives(LIBRARY, LIBRARY.rung("squat", "goblet"))]
    assert len(found) == len(set(found))
    assert "squat" not in found


def test_the_nearest_grade_comes_first() -> None:
    rung = LIBRARY.rung("push-up", "base")
    same = [one for one in alternatives(LIBRARY, rung) if LIBRARY.move(one.move).pattern is Pattern.PUSH]
    apart = [abs(one.grade - rung.grade) for one in same]
    assert apart == sorted(apart)


def test_most_hand_written_stand_ins_are_found_too() -> None:
    """The others were chosen for a place, a chair or a wall, and train something else: they are counted, and named."""
    missed = {
        (move, other)
        for move, _, other in SWAPS
        if other not in {each.key for _, each in other_moves(LIBRARY, LIBRARY.move(move))}
    }
    assert {(LIBRARY.move(move).pattern, LIBRARY.move(other).pattern) for move, other in missed} <= PLACES


def test_what_was_written_by_hand_the_program_finds_by_kit_and_cautions() -> None:
    """Asked for what the stand-in spares, with no more kit than it needs: its move is among the answers."""
    missed = []
    for key, stand_in, other in SWAPS:
        base = LIBRARY.move(key).rung("base")
        if other not in {each.key for _, each in other_moves(LIBRARY, LIBRARY.move(key))}:
            continue  # another pattern, see above
        kit = [need.item for need in stand_in.kit]
        spared = set(base.cautions) - set(stand_in.cautions)
        if other not in {one.move for one in alternatives(LIBRARY, base, avoid=spared, kit=kit)}:
            missed.append((key, stand_in.key, other))
    assert missed == []
