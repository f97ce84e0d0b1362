"""A bout as the kernel gets it: sides, alternation, grips, loads."""

import numpy as np
import pytest

from everyrung.body.demand_table import demand_arrays
from everyrung.body.reference_grid import reference_grid
from everyrung.effort.choices import BodyDemands, Offer
from everyrung.effort.people_strength import grip_kg
from everyrung.effort.rates import rates
from everyrung.effort.set_load import ByLoad, SetLoad, load_parts, session_motions, set_load
from everyrung.moves.library import standard_library
from everyrung.terms.enums import Carry, Side
from everyrung.terms.person import Sex
from everyrung.terms.session import Bout
from everyrung.terms.units import Load, Mass, MassUnit

PEAKS = {"knee_extension_right": 0.5, "hip_extension_right": 0.4, "knee_extension_left": 0.2}
TEN_KG = Mass(amount=10, unit=MassUnit.KG)


def offer_of(rung: str, side: Side, load: Load | None = None, hand: Side | None = None) -> Offer:
    found = standard_library().rung(*rung.split("/"))
    bout = Bout(
        side=side, reps=8, duration_ms=8 * found.form.rep_ms, tempo=found.form.tempo, rep_ms=found.form.rep_ms,
        load=load, load_side=hand,
    )  # fmt: skip
    nothing: frozenset[str] = frozenset()
    return Offer(
        kind=None,
        name=found.name,
        entry_test="",
        form=found.form,
        bouts=(bout,),
        kit=nothing,
        cautions=nothing,
        grade=2,
    )


def on_bodies(made_demand, peaks, loads=(0.0,), more=1.0):
    return BodyDemands(
        loads_kg=loads,
        arrays=demand_arrays(
            [
                [
                    made_demand({k: v * (more if at else 1.0) for k, v in peaks.items()}, body)
                    for body in reference_grid()
                ]
                for at, _ in enumerate(loads)
            ]
        ),
    )


def each(found: SetLoad, names, values):
    """Values of the working motions (last axis) as those of all motions; nothing is asked of the others."""
    every = np.zeros((*values.shape[:-1], len(names)))
    every[..., found.working] = values
    return every


def test_a_left_bout_is_the_right_one_mirrored(made_demand) -> None:
    bodies = on_bodies(made_demand, PEAKS)
    names = session_motions([bodies])
    right, left = (
        set_load(
            offer_of("split-squat/base", side), offer_of("split-squat/base", side).bouts[0], bodies, names, rates(names)
        )
        for side in (Side.RIGHT, Side.LEFT)
    )
    swap = [names.index(n.replace("_left", "_x").replace("_right", "_left").replace("_x", "_right")) for n in names]
    peaks, mirrored = (each(found, names, found.cycle.peak[0]) for found in (left, right))
    assert peaks == pytest.approx(mirrored[..., swap])
    rises, mirrored = (each(found, names, found.cycle.rise_to[0, 0]) for found in (left, right))
    assert rises == pytest.approx(mirrored[..., swap])
    assert each(right, names, right.load.values)[0, 0, names.index("knee_extension_right")] == 0.5


def test_an_alternating_repetition_is_half_a_cycle_with_a_hardest_point_for_each_side(made_demand) -> None:
    bodies = on_bodies(made_demand, {"knee_extension_right": 0.5})
    names = session_motions([bodies])
    offer = offer_of("reverse-lunge/base", Side.BOTH)
    if offer.form.sides != "alternating":
        offer = offer_of("march/base", Side.BOTH)
    found = set_load(offer, offer.bouts[0], bodies, names, rates(names))
    right, left = names.index("knee_extension_right"), names.index("knee_extension_left")
    assert found.reps_a_cycle == len(found.cycle.peak) == 2
    first, second = each(found, names, found.cycle.peak)
    assert first[0, 0, [left, right]].tolist() == [0.0, 0.5]
    assert second[0, 0, [left, right]].tolist() == [0.5, 0.0]
    # at its hardest point each side has its own loaded phases only behind it, and both cost the same in a whole cycle
    rise = each(found, names, found.cycle.rise)[0, 0, 0]
    assert rise[left] == pytest.approx(rise[right], rel=0.01)


def test_what_is_asked_is_linear_in_the_load(made_demand) -> None:
    bodies = on_bodies(made_demand, PEAKS, loads=(4.0, 20.0), more=1.4)
    names = session_motions([bodies])
    offer = offer_of("split-squat/pair", Side.RIGHT, Load(pieces=(TEN_KG, TEN_KG), carry=Carry.SIDES), Side.BOTH)
    found = set_load(offer, offer.bouts[0], bodies, names, rates(names))
    weights = np.eye(12)[:1]
    asked = [each(found, names, found.load.at(weights, np.array([kg])))[0] for kg in (4.0, 12.0, 20.0)]
    at = [one[names.index("knee_extension_right")] for one in asked]
    assert at == pytest.approx([0.5, 0.6, 0.7])


def test_between_two_loads_a_line_and_past_the_last_the_same_line_goes_on() -> None:
    """By hand: 1 at 0 kg, 2 at 5 kg, 5 at 10 kg."""
    value = ByLoad(loads_kg=(0.0, 5.0, 10.0), values=np.array([1.0, 2.0, 5.0])[:, None, None])
    asked = np.array([0.0, 2.5, 5.0, 7.5, 10.0, 12.5])
    assert value.at(np.ones((6, 1)), asked)[:, 0].tolist() == [1.0, 1.5, 2.0, 3.5, 5.0, 6.5]
    assert load_parts((0.0, 5.0, 10.0), asked).sum(axis=1).tolist() == [1.0] * 6


@pytest.mark.parametrize(
    ("rung", "load", "hand", "left", "right"),
    [
        ("split-squat/opposite", Load(pieces=(TEN_KG,), carry=Carry.OPPOSITE_HAND), Side.LEFT, 10.0, 0.0),
        ("split-squat/pair", Load(pieces=(TEN_KG, TEN_KG), carry=Carry.SIDES), Side.BOTH, 10.0, 10.0),
        ("squat/goblet", Load(pieces=(TEN_KG,), carry=Carry.GOBLET), Side.BOTH, 5.0, 5.0),
        ("bridge/one-foot-load", Load(pieces=(TEN_KG,), carry=Carry.HIPS), Side.BOTH, 0.0, 0.0),
    ],
)
def test_each_hand_carries_its_part(made_demand, rung, load, hand, left, right) -> None:
    bodies = on_bodies(made_demand, PEAKS, loads=(2.0, 10.0))
    names = session_motions([bodies])
    offer = offer_of(rung, Side.RIGHT, load, hand)
    found = set_load(offer, offer.bouts[0], bodies, names, rates(names))
    woman = np.eye(12)[:1]
    asked = each(found, names, found.load.at(woman, np.array([load.total_kg])))[0]
    grips = [asked[names.index(f"grip_{side}")] * grip_kg(Sex.FEMALE) for side in ("left", "right")]
    assert grips == pytest.approx([left, right])


def test_a_load_that_rests_on_the_thigh_asks_nothing_of_the_grip(made_demand) -> None:
    bodies = on_bodies(made_demand, PEAKS, loads=(2.0, 10.0))
    names = session_motions([bodies])
    hands = []
    for carry in (Carry.THIGH, Carry.GOBLET):
        offer = offer_of("squat/goblet", Side.RIGHT, Load(pieces=(TEN_KG,), carry=carry), Side.BOTH)
        found = set_load(offer, offer.bouts[0], bodies, names, rates(names))
        asked = each(found, names, found.load.at(np.eye(12)[:1], np.array([10.0])))[0]
        hands.append([asked[names.index(f"grip_{side}")] > 0 for side in ("left", "right")])
    assert hands == [[False, False], [True, True]]


def test_what_nobody_feels_is_a_rest(made_demand) -> None:
    bodies = on_bodies(made_demand, {"knee_extension_right": 0.5, "hip_flexion_right": 0.04})
    names = session_motions([bodies, on_bodies(made_demand, {"hip_flexion_right": 0.5})])
    offer = offer_of("split-squat/base", Side.RIGHT)
    found = set_load(offer, offer.bouts[0], bodies, names, rates(names))
    assert names.index("hip_flexion_right") not in found.working
    assert names.index("knee_extension_right") in found.working


def test_joints_whose_strength_is_unsure_are_not_counted(made_demand) -> None:
    names = session_motions([on_bodies(made_demand, {"hip_rotation_in_right": 0.9, "neck_extension": 0.8, **PEAKS})])
    assert not any(name.startswith(("hip_rotation", "neck")) for name in names)
    assert {"grip_left", "grip_right"} <= set(names)
