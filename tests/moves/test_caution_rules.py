"""Cautions come from form and pose by rule. Held against the movements that sources name, and against solved bodies."""

from pathlib import Path

import pytest

from everyrung.body.mechanics import Job, from_table
from everyrung.body.reference_grid import reference_grid
from everyrung.moves.cautions import DEEP_BOTH, DEEP_ONE, FOLDED, cautions_of
from everyrung.moves.library import standard_library
from everyrung.terms.enums import Caution, LoadNeed, Position, Support
from everyrung.terms.lever import Swap
from everyrung.terms.move import Rung
from everyrung.terms.units import Load, Mass, MassUnit

LIBRARY = standard_library()
RUNGS = {rung.address: rung for key in LIBRARY.keys for rung in LIBRARY.move(key).versions}
# The kinds that the rules see. What a file adds to them needs a reason here; fall risk is a coach's judgement, by hand.
BY_RULE = set(Caution) - {Caution.FALL_RISK, Caution.IMPACT}
ADDED_BY_HAND = {
    ("wide-squat", "press", Caution.HELD_BREATH): "two weights go overhead as one stands up from low",
    ("floor-press", "hover", Caution.HELD_BREATH): "the weights hang from first to last, never put down",
}
# Giangregorio 2014 table 5 (V): the end of bending forward, the end of turning, turning on planted feet; and what a
# professional's reading found lacking (common practice, no source).
LACKED = {
    "reach-and-fold/floor": Caution.BACK_LOAD,
    "spine-curl-stretch/base": Caution.BACK_LOAD,
    "seated-trunk-turn/base": Caution.BACK_LOAD,
    "ball-turn/far-reach": Caution.BACK_LOAD,
    "hip-hinge/pair": Caution.BACK_LOAD,
    "bent-row/pair": Caution.BACK_LOAD,
    "push-up/knees": Caution.KNEELING,
    "bird-dog/base": Caution.KNEELING,
    "side-plank/knees": Caution.KNEELING,
    "side-plank/base": Caution.SHOULDER_LOAD,
    "front-plank/base": Caution.SHOULDER_LOAD,
    "push-up/base": Caution.SHOULDER_LOAD,
    "squat/shoulders-slow": Caution.HELD_BREATH,
    "split-squat/pair": Caution.HELD_BREATH,
    "wide-squat/press": Caution.HELD_BREATH,
    "bridge/one-foot-load": Caution.HELD_BREATH,
    "chair-stand/goblet-slow": Caution.DEEP_KNEE,
    "chair-stand/one-foot": Caution.DEEP_KNEE,
    "ball-wall-squat/one-foot": Caution.DEEP_KNEE,
    "step-up/pair": Caution.DEEP_KNEE,
    "step-up/high-slow": Caution.DEEP_KNEE,
    "bent-knee-calf-raise/tiptoe-free": Caution.DEEP_KNEE,
    "reach-and-fold/base": Caution.HEAD_LOW,
    "swing/low": Caution.BACK_LOAD,
    "swing/base": Caution.HELD_BREATH,
    "deadlift/kettlebell": Caution.HELD_BREATH,
    "halo/base": Caution.OVERHEAD,
    "ball-wall-squat/wall-sit": Caution.HELD_BREATH,
}
FREE = {
    "squat/half-wall": Caution.DEEP_KNEE,
    "halo/half": Caution.OVERHEAD,
    "medicine-ball-pass/base": Caution.HELD_BREATH,
    "chair-stand/base": Caution.DEEP_KNEE,
    "bridge/base": Caution.DEEP_KNEE,
    "squat/goblet": Caution.BACK_LOAD,
    "seated-trunk-turn/half": Caution.BACK_LOAD,
    "prone-pull/base": Caution.KNEELING,
    "push-up/wall": Caution.WRIST_LOAD,
    "floor-press/pair": Caution.SHOULDER_LOAD,
    "hip-hinge/base": Caution.HEAD_LOW,
    "floor-press/wall": Caution.OVERHEAD,
    "one-foot-stand/wall": Caution.HELD_BREATH,
    "one-foot-stand/base": Caution.HELD_BREATH,
}
# Moves without any caution, each with what was looked for (common practice, no source); docs/own-moves.md lists them.
NONE = {
    "biceps-curl": "upright, arms below the shoulders, weights of grade 2 at most",
    "medicine-ball-pass": "the ball leaves from the breast with the breath, feet planted",
    "seated-hinge": "the trunk leans 38 degrees with a straight back, under the 45 of a loaded bend",
    "seated-jack": "seated, empty hands no higher than the shoulders",
    "seated-knee-opening": "seated, a mini band, nothing bent, turned or lifted",
    "seated-shadow-row": "seated, empty hands, a straight back that leans 34 degrees",
}
MEASURE_ERROR_DEG = 8.0  # between a pose's words and the solved bodies, which give up angles for contacts


@pytest.mark.parametrize("address", LACKED)
def test_the_movements_that_sources_name_have_their_caution(address: str) -> None:
    assert LACKED[address] in RUNGS[address].cautions


@pytest.mark.parametrize("address", FREE)
def test_everyday_movements_are_free_of_it(address: str) -> None:
    assert FREE[address] not in RUNGS[address].cautions


def test_a_move_without_any_caution_has_a_reason() -> None:
    found = {key for key in LIBRARY.keys if not any(rung.cautions for rung in LIBRARY.move(key).versions)}
    assert found == set(NONE)


@pytest.mark.parametrize("key", NONE)
def test_the_page_gives_the_reason(key: str) -> None:
    page = (Path(__file__).parents[2] / "docs" / "own-moves.md").read_text(encoding="utf-8")
    assert f"| {LIBRARY.move(key).name} | {NONE[key]} |" in page


def test_what_a_file_adds_to_the_rules_has_a_reason() -> None:
    found = set()
    for key in LIBRARY.keys:
        _, text = LIBRARY.source(key)
        for written in text.rungs:
            rung = LIBRARY.rung(key, written.key)
            by_rule = cautions_of(rung.form, LIBRARY.pose(rung.form), text.move.kind, rung.grade)
            swapped = any(isinstance(lever, Swap) for lever in written.levers)
            inherited = () if swapped else text.move.cautions
            hand = inherited if written.cautions is None else written.cautions
            found |= {(key, written.key, each) for each in hand if each in BY_RULE and each not in by_rule}
    assert found == set(ADDED_BY_HAND)


def knees(rung: Rung) -> list[float]:
    """Of each reference body the greatest bend of a knee at full depth, degrees, as solved."""
    pieces = {LoadNeed.ONE: 1, LoadNeed.PAIR: 2}.get(rung.form.load, 0)
    load = Load(pieces=(Mass(amount=4.0, unit=MassUnit.KG),) * pieces) if pieces else None
    jobs = [Job(form=rung.form, layer=LIBRARY.pose(rung.form), size=size, load=load) for size in reference_grid()]
    found = from_table(jobs).values()
    return [max(joint.full_deg for joint in each.joints if joint.name.startswith("knee")) for each in found]


def standing_knee_rungs() -> list[str]:
    """Rungs of the library on the feet, with the same threshold for all bodies."""
    ways = (Position.STANDING,)
    return [
        name for name, rung in RUNGS.items() if rung.form.position in ways and rung.form.support is not Support.TOES
    ]


@pytest.mark.parametrize("address", standing_knee_rungs())
def test_a_deep_knee_bend_is_one_in_the_solved_bodies(address: str) -> None:
    """By the joint angles of the shipped table, another way from the words of the pose."""
    rung = RUNGS[address]
    bends = knees(rung)
    if not bends:
        pytest.skip("not in the shipped table")
    middle = sorted(bends)[len(bends) // 2]
    if Caution.DEEP_KNEE in rung.cautions:
        assert middle >= DEEP_ONE - MEASURE_ERROR_DEG
    elif "seat" not in LIBRARY.pose(rung.form).touch:
        one = rung.form.support is Support.ONE_FOOT or rung.form.load is not LoadNeed.NONE
        assert middle <= (FOLDED if one else DEEP_BOTH) + MEASURE_ERROR_DEG
