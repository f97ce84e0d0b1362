"""Nobody without a way through a session: every set of three cautions, each step free of them, and who is left out."""

from dataclasses import replace
from math import comb
from pathlib import Path

import pytest

from everyrung import load_plan
from everyrung.checks.ladder_order import rung_demands
from everyrung.moves.library import standard_library
from everyrung.plan.resolve import resolve
from everyrung.room.paths import IN_PLAN, caution_sets, coverage, has_kit, path, path_findings, seated_path
from everyrung.terms.enums import Caution, KitItem, MoveKind, Position
from everyrung.terms.session import Session

LIBRARY = standard_library()
EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*-[0-9][0-9].toml"))


def session_of(path_: Path) -> Session:
    return resolve(load_plan(path_), LIBRARY)


@pytest.mark.parametrize("plan", EXAMPLES, ids=lambda each: each.stem)
def test_every_set_of_three_cautions_has_a_way_through(plan: Path) -> None:
    one = coverage(session_of(plan), LIBRARY)
    assert one.sets == comb(len(Caution), 3)
    assert sum(one.by_source.values()) + len(one.left_out) == one.sets * one.cells
    assert not one.left_out
    assert one.whole == one.sets


def test_each_step_has_none_of_the_cautions_and_only_kit_that_is_there() -> None:
    session = session_of(EXAMPLES[0])
    kit = {stock.item for stock in session.kit}
    for avoid in list(caution_sets())[::7]:
        for step in path(session, LIBRARY, avoid):
            assert step.rung
            assert not avoid & set(step.rung.cautions)
            assert step.source in IN_PLAN or has_kit(step.rung, kit)


def test_nothing_to_avoid_is_as_led() -> None:
    session = session_of(EXAMPLES[0])
    assert [step.rung for step in path(session, LIBRARY, ())] == [cell.rung for cell in session.cells]


def test_who_is_left_out_is_said_with_what_would_include_them() -> None:
    """All versions of one cell taken away but the led one, on the floor: whoever avoids the floor has nothing there."""
    session = session_of(next(each for each in EXAMPLES if each.stem == "bare-floor-30"))
    one = coverage(session, LIBRARY)
    cell = next(each for each in session.cells if Caution.TO_FLOOR in each.rung.cautions)
    avoid = frozenset((Caution.TO_FLOOR, Caution.IMPACT, Caution.OVERHEAD))
    finding = path_findings(session, LIBRARY, replace(one, left_out=((avoid, cell),)))[0]
    assert finding.rule == "path-missing"
    assert "getting down to the floor" in finding.measured
    note = next(each for each in path_findings(session, LIBRARY, one) if each.rule == "path-not-offered")
    assert f"{one.sets - one.whole_offered} of {one.sets}" in note.measured


def test_kit_that_is_not_there_is_not_given() -> None:
    rung = LIBRARY.rung("ball-wall-squat", "base")
    assert not has_kit(rung, {KitItem.CHAIR})
    assert has_kit(rung, {KitItem.BALL})


@pytest.mark.parametrize("plan", EXAMPLES, ids=lambda each: each.stem)
def test_who_stays_seated_has_a_way_through(plan: Path) -> None:
    session = session_of(plan)
    kit = {stock.item for stock in session.kit} | {KitItem.CHAIR}
    for step in seated_path(session, LIBRARY):
        assert step.rung is not None, step.cell.ref
        assert step.rung.form.position is Position.SEATED
        assert has_kit(step.rung, kit)
        assert LIBRARY.move(step.rung.move).kind is step.cell.move.kind  # no stretch in a set of strength
        if step.cell.move.kind is MoveKind.STRENGTH:  # a hinge for a hinge, and no march for a lunge
            assert LIBRARY.move(step.rung.move).pattern is step.cell.move.pattern


# What a seated version of it has to work, a fact of the trade: squats and lunges extend the knee, hinges the hip and
# the back, curls and bridges bend the knee or extend the hip, a clam moves the thigh away.
PRIME = {
    "seated-knee-extension/base": {"knee_extension"},
    "seated-hinge/base": {"trunk_extension", "hip_extension"},
    "crossed-ankle-press/base": {"knee_flexion"},
    "seated-knee-opening/heavy": {"hip_abduction"},
}


@pytest.mark.parametrize("address", PRIME)
def test_a_seated_version_works_what_it_stands_in_for(address: str) -> None:
    rung = LIBRARY.rung(*address.split("/"))
    demands = rung_demands(LIBRARY, [rung])[address]
    assert len(demands) == 12
    for each in demands:
        assert each.feasible
        by_motion = {one.motion.removesuffix("_right").removesuffix("_left"): one.fraction for one in each.motions}
        prime = max(by_motion.get(name, 0.0) for name in PRIME[address])
        # No part of a thigh rests on the seat here, so the front of the hip holds a lifted leg too.
        assert prime > (0.33 if "knee-extension" in address else 0.99) * max(by_motion.values())
