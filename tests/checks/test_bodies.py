"""What the reference bodies say, on made-up demands: each rule alone, silent at its limit, and naming what it found."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from everyrung.checks.focus import computed_focus, focus_words
from everyrung.checks.registry import check, rules
from everyrung.checks.rule import BODIES
from everyrung.checks.rules.bodies import (
    focus_differs,
    not_posed,
    pose_misfit,
    round_jumps,
    round_not_harder,
    round_within_error,
    rung_not_held,
    self_check_missed,
)
from everyrung.moves.library import standard_library
from everyrung.tables.reader import read_table
from everyrung.terms.demand import GroupDemand, Mechanics, MotionDemand, RungDemand, SelfCheckResult
from everyrung.terms.enums import BlockKind, MoveKind
from everyrung.terms.person import BodySize, Sex
from everyrung.terms.session import Session
from everyrung.timing.timeline import build_timeline

SHORT = BodySize(sex=Sex.FEMALE, stature_m=1.52, mass_kg=50.0)
LONG = BodySize(sex=Sex.MALE, stature_m=1.87, mass_kg=90.0)


def made(fraction: float = 0.4, peak: float = 0.4, **values: Any) -> RungDemand:
    usual: dict[str, Any] = {
        "trunk_nm": 40.0, "balance_m": 0.07, "sideways_m": 0.15, "work_j": 0.0, "shortfalls": (), "self_checks": (),
        "farthest_mm": 0.0, "farthest_deg": 0.0,
    }  # fmt: skip
    motion = MotionDemand(motion="hip_extension_left", moment_nm=50, fraction=fraction, mean_fraction=0.0, depth=1)
    groups = tuple(
        GroupDemand(group=f"{name}_left", peak=peak, mean=peak) for name in ("hamstrings", "gluteus_maximus")
    )
    back = GroupDemand(group="trunk_extensors_left", peak=peak, mean=peak)
    return RungDemand(
        size=SHORT, load_kg=0.0, rep_ms=4000, motions=(motion,), groups=(*groups, back), bearings=(), joints=(),
        above_rest_w=0.0, misfits=(), has_converged=True, from_memory=(), **{**usual, **values},
    )  # fmt: skip


Of = Callable[..., Mechanics]


@pytest.fixture
def hinge(session: Callable[..., Session]) -> tuple[Session, Of]:
    """The clean plan, whose hinge gets a load in round Two; and mechanics with these demands in One, and in Two."""
    whole = session(('cell.hinge = { dose = "12 reps" }', 'cell.hinge = { add = [{ load = "pair" }] }'))

    def mechanics(one: RungDemand, two: RungDemand, long_two: RungDemand | None = None) -> Mechanics:
        found = {}
        for cell in whole.cells:
            if cell.ref.cell == "hinge":
                first = cell.ref.round == "One"
                found[cell.ref, SHORT] = one if first else two
                found[cell.ref, LONG] = one if first else (long_two or two)
        return Mechanics(bodies=(SHORT, LONG), demands=found, failed={})

    return whole, mechanics


def test_a_round_that_is_harder_for_every_body_is_right(hinge: tuple[Session, Of]) -> None:
    whole, mechanics = hinge
    found = mechanics(made(0.40), made(0.50))
    assert not list(round_not_harder(whole, found))
    assert not list(round_within_error(whole, found))
    assert not list(round_jumps(whole, found))


def test_a_round_that_is_no_harder_for_one_body_is_named_with_that_body(hinge: tuple[Session, Of]) -> None:
    whole, mechanics = hinge
    (found,) = round_not_harder(whole, mechanics(made(0.40), made(0.50), long_two=made(0.38, peak=0.4)))
    assert found.place == "Main / Two / hinge"
    assert "load since One for 1 of 2 bodies" in found.measured
    assert str(LONG) in found.measured
    assert found.remedy


def test_a_rise_inside_the_error_is_a_note_and_one_beyond_it_silent(hinge: tuple[Session, Of]) -> None:
    whole, mechanics = hinge
    (found,) = round_within_error(whole, mechanics(made(0.400), made(0.415)))
    assert "0.40 to 0.41 of its strength (known within 0.02)" in found.measured
    assert found.severity == "note"
    assert not list(round_within_error(whole, mechanics(made(0.400), made(0.421))))


@pytest.mark.parametrize(("work_j", "is_found"), [(60.0, False), (40.0, True)])
def test_a_longer_way_is_harder_by_the_work_though_no_joint_has_more_to_do(
    session: Callable[..., Session], work_j: float, is_found: bool
) -> None:
    """A fact of mechanics: the same weight lifted farther is more work; the hardest point may lie before both ends."""
    whole = session(
        ('move = "hip-hinge"', 'move = "hip-hinge"\n  levers = [{ range = 0.7 }]'),
        ('cell.hinge = { dose = "12 reps" }', 'cell.hinge = { rung = "base" }'),
    )
    cells = [cell for cell in whole.cells if cell.ref.cell == "hinge"]
    demands = {(cell.ref, SHORT): made(work_j=40.0 if cell is cells[0] else work_j) for cell in cells}
    found = list(round_not_harder(whole, Mechanics(bodies=(SHORT,), demands=demands, failed={})))
    assert bool(found) is is_found, found


@pytest.mark.parametrize("one_rule", [round_not_harder, round_within_error])
@pytest.mark.parametrize(("first", "is_found"), [("hand on the wall", False), ("wide feet", True)])
def test_a_hand_that_lets_go_is_a_step_that_no_measure_has_to_show(
    session: Callable[..., Session], one_rule: Callable[..., Any], first: str, is_found: bool
) -> None:
    """A fact of the trade: a hand at the wall steadies, though it bears nothing; of feet a margin has to tell."""
    whole = session(
        ('move = "hip-hinge"', f'move = "hip-hinge"\n  levers = [{{ base = "{first}" }}]'),
        ('cell.hinge = { dose = "12 reps" }', 'cell.hinge = { rung = "base" }'),
    )
    cells = [cell for cell in whole.cells if cell.ref.cell == "hinge"]
    margin_m = 0.07 if one_rule is round_not_harder else 0.069
    demands = {(cell.ref, SHORT): made(balance_m=0.07 if cell is cells[0] else margin_m) for cell in cells}
    found = list(one_rule(whole, Mechanics(bodies=(SHORT,), demands=demands, failed={})))
    assert bool(found) is is_found, found


def test_another_measure_does_not_stand_in_for_the_leading_one(hinge: tuple[Session, Of]) -> None:
    """A load has to be felt at the hardest joint: more trunk moment or a smaller margin is not enough."""
    whole, mechanics = hinge
    (found,) = round_not_harder(whole, mechanics(made(0.40), made(0.40, peak=0.9, trunk_nm=90.0, balance_m=0.01)))
    assert "hardest joint" in found.measured


@pytest.mark.parametrize(("before", "after", "jumps"), [(0.40, 0.61, True), (0.40, 0.60, False), (0.05, 0.09, False)])
def test_a_jump_is_more_than_half_as_much_again(
    hinge: tuple[Session, Of], before: float, after: float, jumps: bool
) -> None:
    whole, mechanics = hinge
    found = list(round_jumps(whole, mechanics(made(before), made(after))))
    assert len(found) == int(jumps)
    if jumps:
        assert "0.40 to 0.61" in found[0].measured


def test_a_rung_beyond_a_body_names_the_easier_one(hinge: tuple[Session, Of]) -> None:
    whole, mechanics = hinge
    beyond = made(1.2, shortfalls=("hip extension left: off by 30 N m at 100% of the depth",))
    (found,) = rung_not_held(whole, mechanics(made(), made(), long_two=beyond))
    assert "1 of 2 bodies" in found.measured
    assert "30 N m" in found.measured
    easier = next(cell for cell in whole.cells if cell.ref.cell == "hinge").options
    assert any(option.rung.name in found.remedy for option in easier)


def test_a_self_check_that_a_body_fails_is_named(hinge: tuple[Session, Of]) -> None:
    whole, mechanics = hinge
    bent = SelfCheckResult(say="One line.", measured="150 degrees", limit="180 within 12", met=False)
    (found,) = self_check_missed(whole, mechanics(made(), made(self_checks=(bent,))))
    assert "One line." in found.measured
    assert "150 degrees" in found.measured
    assert not list(self_check_missed(whole, mechanics(made(), made(self_checks=(replace(bent, met=True),)))))


def test_a_focus_that_hardly_works_is_named_with_what_does(hinge: tuple[Session, Of]) -> None:
    whole, mechanics = hinge
    one = made()
    idle_back = replace(one, groups=(*one.groups[:2], replace(one.groups[2], peak=0.05)))
    (found,) = focus_differs(whole, mechanics(idle_back, idle_back))
    assert "hardly works back; what it works most" in found.measured
    assert not list(focus_differs(whole, mechanics(one, one)))
    assert not list(focus_differs(whole, mechanics(idle_back, one)))  # a first round may be a small one


def test_what_is_held_in_reserve_is_announced_to_nobody(session: Callable[..., Session]) -> None:
    """At the end the muscles of the main parts are named (cues/closing.py), no others."""
    whole = session()
    reserve = next(iter(whole.reserve[0].cells))
    (main,) = whole.cells_of(BlockKind.MAIN)[:1]
    idle = replace(made(), groups=made().groups[2:])  # the back alone works
    for cell, count in ((reserve, 0), (main, 1)):
        found = list(focus_differs(whole, Mechanics(bodies=(SHORT,), demands={(cell.ref, SHORT): idle}, failed={})))
        assert len(found) == count, found


def test_a_pose_that_a_body_cannot_take_is_named_with_how_far_off_it_is(hinge: tuple[Session, Of]) -> None:
    whole, mechanics = hinge
    far = replace(made(), misfits=("heel on its plane: off by 61 mm at 100% of the depth",), farthest_mm=61.0)
    (found,) = pose_misfit(whole, mechanics(made(), made(), long_two=far))
    assert "61 mm" in found.measured
    assert str(LONG) in found.measured
    assert not list(pose_misfit(whole, mechanics(made(), made(farthest_mm=40.0, farthest_deg=15.0))))


def test_what_could_not_be_posed_is_named(hinge: tuple[Session, Of]) -> None:
    whole, mechanics = hinge
    ref = next(cell.ref for cell in whole.cells if cell.ref.cell == "hinge")
    (found,) = not_posed(whole, replace(mechanics(made(), made()), failed={ref: "angle: expected a known angle"}))
    assert "expected a known angle" in found.measured


def test_without_bodies_no_rule_of_theirs_speaks(session: Callable[..., Session]) -> None:
    whole = session()
    timeline = build_timeline(whole)
    silent = Mechanics(bodies=(SHORT,), demands={}, failed={})
    assert check(whole, timeline) == check(whole, timeline, silent)
    assert rules(BODIES)


def test_computed_focus_is_what_works_hardest() -> None:
    one = made()
    only_hamstrings = replace(one, groups=(one.groups[0], *(replace(each, peak=0.1) for each in one.groups[1:])))
    assert computed_focus([only_hamstrings])[0] == "back of the thigh"
    assert "buttocks" not in computed_focus([only_hamstrings])


def test_every_word_of_focus_means_muscles_or_motions_that_there_are() -> None:
    groups = {row["group"] for row in read_table("muscle_groups").rows}
    motions = {row["motion"] for row in read_table("joint_strength").rows}
    for word, names in focus_words().items():
        for by, name in names:
            assert name in (groups if by == "group" else motions), word


def test_every_focus_of_a_strength_move_can_be_computed() -> None:
    library = standard_library()
    moves = [library.move(key) for key in library.keys]
    said = {word for move in moves if move.kind is MoveKind.STRENGTH for word in move.focus}
    assert said <= set(focus_words())
