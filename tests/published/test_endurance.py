"""Endurance of holds: Frey-Law and Avin 2010 (curves from memory, their order seen), Frey-Law 2012 (F and R), Looft.

The dossier warns that the paper's own errors (2.7 to 11.2 s) can't be reproduced from these values: so no gate on them.
"""

import math

import pytest
from endurance_studies import LOADS, POWER, model_hold, published_hold

from everyrung.effort.rates import constant, rest_multiplier

ORDER = ("ankle", "trunk", "grip", "elbow", "knee", "shoulder")  # most to least enduring (V)


def test_joints_rank_as_measured_but_for_grip_and_elbow() -> None:
    times = [model_hold(joint, 0.5) for joint in ORDER if joint != "elbow"]
    assert times == sorted(times, reverse=True)


@pytest.mark.xfail(strict=True, reason="a miss: the elbow holds 116 s and the grip 106 s at half of their strength")
def test_the_elbow_gives_out_before_the_grip() -> None:
    assert model_hold("grip", 0.5) > model_hold("elbow", 0.5)


@pytest.mark.parametrize("joint", [joint for joint in POWER if joint != "elbow"])
def test_holds_of_30_to_70_per_cent_last_within_35_per_cent_of_the_curve(joint: str) -> None:
    for load in LOADS[1:6]:
        assert model_hold(joint, load) == pytest.approx(published_hold(joint, load), rel=0.35)


@pytest.mark.xfail(strict=True, reason="a miss: the elbow's holds at 50 and 60 % are 39 and 36 % too long")
def test_the_elbow_s_holds_last_within_35_per_cent_of_the_curve() -> None:
    for load in LOADS[1:6]:
        assert model_hold("elbow", load) == pytest.approx(published_hold("elbow", load), rel=0.35)


@pytest.mark.xfail(strict=True, reason="a miss: above 80 % the model gives out in half the time or less")
def test_holds_of_90_per_cent_last_within_35_per_cent_of_the_curve() -> None:
    assert model_hold("knee", 0.9) == pytest.approx(published_hold("knee", 0.9), rel=0.35)


def test_the_extremes_of_f_and_r_are_the_paper_s() -> None:
    # checks.csv FA04, FA05 (V); the abstract prints the labels of two swapped
    assert constant("hold", "ankle", "fatigue") == 0.00589
    assert constant("hold", "ankle", "recovery") == 0.00058
    assert constant("hold", "shoulder", "fatigue") == 0.0182
    assert constant("hold", "shoulder", "recovery") == 0.00168


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


def test_rest_multipliers_are_published_ones() -> None:
    # Looft and Frey-Law 2020 (V): 15 for ankle, knee, elbow, 30 for the grip; 10 for the upper body is chosen, and
    # inside the 4.7 to 25.5 that Rakshit 2021 gives by muscle (V2)
    assert [rest_multiplier(joint) for joint in ("ankle", "knee", "grip")] == [15, 15, 30]
    assert 4.7 <= rest_multiplier("shoulder") <= 25.5
    assert (constant("rest", "low", "multiplier"), constant("rest", "high", "multiplier")) == (5, 15)
