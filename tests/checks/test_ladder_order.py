"""Every ladder, pair by pair, on the reference bodies: a rung up, or a reason in ladder_pairs.csv (DESIGN 13)."""

import csv
from pathlib import Path

import pytest

from everyrung.checks.ladder_order import MOST_RISE, PairRise, grade_of, pair_rises, rung_demands
from everyrung.moves.computed_grades import computed_grades
from everyrung.moves.library import standard_library
from everyrung.terms.demand import RungDemand
from everyrung.terms.enums import MoveKind

LIBRARY = standard_library()
PAIRS = Path(__file__).with_name("ladder_pairs.csv")


@pytest.fixture(scope="module")
def pairs() -> tuple[PairRise, ...]:
    return pair_rises(LIBRARY, LIBRARY.keys)


def reasons() -> dict[tuple[str, str], str]:
    with PAIRS.open(encoding="utf-8", newline="") as file:
        return {(row["below"], row["above"]): row["reason"] for row in csv.DictReader(file)}


def test_every_pair_is_a_rung_up_or_has_a_reason_of_its_own_and_no_other_has_one(pairs: tuple[PairRise, ...]) -> None:
    out = {(each.below.address, each.above.address): each.why for each in pairs if each.why}
    written = reasons()
    assert {pair: why for pair, why in out.items() if pair not in written} == {}
    assert [pair for pair in written if pair not in out] == []
    assert all(len(reason.split()) >= 6 for reason in written.values())
    assert len(set(written.values())) == len(written)


def test_six_of_seven_pairs_need_no_reason(pairs: tuple[PairRise, ...]) -> None:
    assert len(pairs) > 390
    assert sum(bool(each.why) for each in pairs) < len(pairs) / 7


def test_no_ladder_holds_a_rung_of_another_move_and_every_ladder_of_strength_has_five() -> None:
    moves = [LIBRARY.move(key) for key in LIBRARY.keys]
    assert all(rung.form.move == move.key for move in moves for rung in move.ladder)
    assert sum(len(move.stand_ins) for move in moves) > 70
    assert [move.key for move in moves if move.kind is MoveKind.STRENGTH and len(move.ladder) < 5] == []


def test_a_joint_that_has_to_do_twice_as_much_is_no_rung_up(pairs: tuple[PairRise, ...]) -> None:
    one = next(each for each in pairs if not each.why)
    twice = PairRise(below=one.below, above=one.above, measure=one.measure, least=one.least, most_joint=2 * MOST_RISE)
    assert "times as much" in twice.why
    flat = PairRise(below=one.below, above=one.above, measure=one.measure, least=1.0, most_joint=1.0)
    assert "nothing is harder" in flat.why


def test_grades_are_those_of_the_bodies_and_never_fall_along_a_ladder() -> None:
    known = computed_grades()
    assert len(known) > 540
    for key in ("clam", "swing", "hollow-hold", "rear-foot-squat"):
        rungs = LIBRARY.move(key).ladder
        found = rung_demands(LIBRARY, rungs)
        least = 1
        for rung in rungs:
            least = max(least, grade_of(rung, found.get(rung.address, ())))
            assert known[rung.address] == rung.grade == least


def test_what_most_bodies_cannot_do_is_grade_five_only() -> None:
    rungs = [rung for key in LIBRARY.keys for rung in LIBRARY.move(key).ladder if rung.address in computed_grades()]
    found = rung_demands(LIBRARY, rungs)
    too_hard = [rung for rung in rungs if _short(found.get(rung.address, ())) > 6]
    assert all(rung.grade == 5 for rung in too_hard)


def _short(row: tuple[RungDemand, ...]) -> int:
    """How many of the twelve bodies can't do it."""
    return sum(not each.feasible for each in row)
