"""Endurance of holds: Frey-Law and Avin 2010 (curves from memory, their order seen), Frey-Law 2012 (F and R), Looft.

The dossier warns that the paper's own errors (2.7 to 11.2 s) can't be reproduced from these values: so no gate on them.
"""

import math

import pytest
from endurance_studies import (
    HOLD_WITHIN,
    LOADS,
    LOOFT,
    MIDDLE_LOADS,
    POWER,
    RAKSHIT_KNEE,
    hold_of,
    hold_off,
    model_hold,
    published_hold,
)

from everyrung.effort.rates import constant, rest_multiplier

ORDER = ("ankle", "trunk", "grip", "elbow", "knee", "shoulder")  # most to least enduring: checks.csv FA01 (V)


def miss(why: str) -> pytest.MarkDecorator:
    return pytest.mark.xfail(strict=True, reason=f"a miss: {why}")


def test_the_curves_keep_the_order_that_was_seen() -> None:
    # their coefficients are from memory; that they give FA01's order is what speaks for them
    assert sorted(POWER, key=lambda joint: -published_hold(joint, 0.5)) == list(ORDER)


@miss("the elbow holds 116 s and the grip 106 s at half of their strength")
def test_joints_rank_as_measured() -> None:
    assert sorted(POWER, key=lambda joint: -model_hold(joint, 0.5)) == list(ORDER)


def test_joints_rank_as_measured_but_for_grip_and_elbow() -> None:
    found = sorted(POWER, key=lambda joint: -model_hold(joint, 0.5))
    assert [joint for joint in found if joint != "elbow"] == [joint for joint in ORDER if joint != "elbow"]


LONG = miss("39 and 36 % too long at 50 and 60 %")


@pytest.mark.parametrize("joint", [pytest.param(joint, marks=LONG if joint == "elbow" else ()) for joint in POWER])
def test_holds_of_30_to_70_per_cent_last_within_35_per_cent_of_the_curve(joint: str) -> None:
    assert [load for load in MIDDLE_LOADS if abs(hold_off(joint, load)) > HOLD_WITHIN] == []


@pytest.mark.parametrize("joint", [pytest.param(joint, marks=miss("46 to 71 % too short")) for joint in POWER])
def test_holds_of_90_per_cent_last_within_35_per_cent_of_the_curve(joint: str) -> None:
    assert abs(hold_off(joint, 0.9)) <= HOLD_WITHIN


def test_the_extremes_of_f_and_r_are_the_paper_s() -> None:
    # checks.csv FA04, FA05 (V); the abstract prints the labels of two swapped
    assert constant("hold", "ankle", "fatigue") == 0.00589
    assert constant("hold", "ankle", "recovery") == 0.00058
    assert constant("hold", "shoulder", "fatigue") == 0.0182
    assert constant("hold", "shoulder", "recovery") == 0.00168
    for name in ("fatigue", "recovery"):
        values = [constant("hold", joint, name) for joint in POWER]
        assert min(values) == constant("hold", "ankle", name)
        assert max(values) == constant("hold", "shoulder", name)


def test_what_can_be_held_for_ever_is_r_over_f_plus_r() -> None:
    # checks.csv FA07 (D): .0896 / .0904 / .0845
    for joint, level in (("ankle", 0.0896), ("knee", 0.0904), ("shoulder", 0.0845)):
        f, r = constant("hold", joint, "fatigue"), constant("hold", joint, "recovery")
        assert r / (f + r) == pytest.approx(level, abs=5e-5)
        assert math.isinf(model_hold(joint, level - 1e-3))
        assert model_hold(joint, level + 1e-3) < 1e5


def test_the_closed_form_is_the_one_of_the_dossier() -> None:
    # checks.csv FA06 (D): -(1/R) ln(1 - R (1 - I) / (F I))
    for joint in POWER:
        f, r = constant("hold", joint, "fatigue"), constant("hold", joint, "recovery")
        for load in (0.2, 0.5, 0.8):
            assert model_hold(joint, load) == pytest.approx(-math.log(1 - r * (1 - load) / (f * load)) / r, rel=1e-12)


@miss("with Rakshit's F and R a knee's hold lasts 1.8 times as long")
def test_the_knee_of_rakshit_agrees_with_the_one_used() -> None:
    # Rakshit 2021, pooled knee (V2): another opinion, which is off the power curve as well; the same band as above
    for load in LOADS:
        assert hold_of(load, *RAKSHIT_KNEE) == pytest.approx(model_hold("knee", load), rel=HOLD_WITHIN)


CHOSEN_LOWER = miss("10 is used, chosen from the bench press of Willardson 2005; 15 is published")


@pytest.mark.parametrize(
    "joint", [pytest.param(joint, marks=CHOSEN_LOWER if joint in ("elbow", "shoulder") else ()) for joint in LOOFT]
)
def test_rest_multipliers_are_those_of_looft(joint: str) -> None:
    # checks.csv FA02, Looft and Frey-Law 2020 (V)
    assert rest_multiplier(joint) == LOOFT[joint]


@pytest.mark.parametrize("joint", [joint for joint in LOOFT if joint != "grip"])
def test_rest_multipliers_are_within_what_muscles_have(joint: str) -> None:
    # Rakshit 2021 by muscle and joint, 4.68 to 25.52 (V2); the band that a rehearsal prints lies in it too
    assert 4.68 <= rest_multiplier(joint) <= 25.52
    assert 4.68 <= constant("rest", "low", "multiplier") < constant("rest", "high", "multiplier") <= 25.52
