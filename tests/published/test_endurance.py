"""Endurance of holds: Frey-Law and Avin 2010 (curves from memory, their order seen), Frey-Law 2012 (F and R).

The dossier warns that the paper's own errors (2.7 to 11.2 s) can't be reproduced from these values: so no gate on them.
"""

import math

import pytest
from endurance_studies import HOLD_WITHIN, JUDGED_LOADS, RAKSHIT_KNEE, hold_off, looft_r, model_hold
from fit_fatigue import EVEN, ODD, POWER, hold_error, hold_of, published_hold

from everyrung.effort.rates import constant, reserve

ORDER = ("ankle", "trunk", "grip", "elbow", "knee", "shoulder")  # most to least enduring: checks.csv FA01 (V)


def miss(why: str) -> pytest.MarkDecorator:
    return pytest.mark.xfail(strict=True, reason=f"a miss: {why}")


def test_the_curves_keep_the_order_that_was_seen() -> None:
    # their coefficients are from memory; that they give FA01's order is what speaks for them
    assert sorted(POWER, key=lambda joint: -published_hold(joint, 0.5)) == list(ORDER)


def test_joints_rank_as_measured() -> None:
    assert sorted(POWER, key=lambda joint: -model_hold(joint, 0.5)) == list(ORDER)


@pytest.mark.parametrize("load", JUDGED_LOADS)
@pytest.mark.parametrize("joint", POWER)
def test_holds_of_20_to_90_per_cent_last_within_35_per_cent_of_the_curve(joint: str, load: float) -> None:
    assert abs(hold_off(joint, load)) <= HOLD_WITHIN


DRAWN_ON = miss("42 % too long; the curve is drawn on past its data here")


@pytest.mark.parametrize("joint", [pytest.param(joint, marks=DRAWN_ON if joint == "trunk" else ()) for joint in POWER])
def test_holds_of_full_strength_last_within_35_per_cent_of_the_curve(joint: str) -> None:
    assert abs(hold_off(joint, 1.0)) <= HOLD_WITHIN


def test_what_was_not_fitted_to_is_no_farther_off() -> None:
    # even tenths of strength decided about the reserve and the elbow, odd ones are held back
    used = [math.log(constant("hold", *each)) for each in
            (("all", "reserve"), ("all", "reserve_power"), ("elbow", "fatigue"), ("elbow", "recovery"))]  # fmt: skip
    assert hold_error(used, ODD) <= hold_error(used, EVEN) < 0.18


def test_the_extremes_of_f_and_r_are_the_paper_s() -> None:
    # checks.csv FA04, FA05 (V); the abstract prints the labels of two swapped. The reserve leaves them as they are
    assert constant("hold", "ankle", "fatigue") == 0.00589
    assert constant("hold", "ankle", "recovery") == 0.00058
    assert constant("hold", "shoulder", "fatigue") == 0.0182
    assert constant("hold", "shoulder", "recovery") == 0.00168
    assert min(POWER, key=lambda joint: constant("hold", joint, "fatigue")) == "ankle"
    assert min(POWER, key=lambda joint: constant("hold", joint, "recovery")) == "ankle"
    assert max(POWER, key=lambda joint: constant("hold", joint, "fatigue")) == "shoulder"


@miss("the elbow's R, fitted to its curve, is greater")
def test_the_shoulder_recovers_quickest_under_load() -> None:
    assert max(POWER, key=lambda joint: constant("hold", joint, "recovery")) == "shoulder"


def test_what_can_be_held_for_ever_is_r_over_f_plus_r() -> None:
    # checks.csv FA07 (D): .0896 / .0904 / .0845
    for joint, level in (("ankle", 0.0896), ("knee", 0.0904), ("shoulder", 0.0845)):
        f, r = constant("hold", joint, "fatigue"), constant("hold", joint, "recovery")
        assert r / (f + r) == pytest.approx(level, abs=5e-5)
        assert math.isinf(model_hold(joint, level - 1e-3))
        assert model_hold(joint, level + 1e-3) < 1e5


def test_the_closed_form_is_the_one_of_the_dossier() -> None:
    # checks.csv FA06 (D): -(1/R) ln(1 - R (1 - I) / (F I)); with the reserve, that much in place of 1 - I
    for joint in POWER:
        f, r = constant("hold", joint, "fatigue"), constant("hold", joint, "recovery")
        for load in (0.3, 0.5, 0.8):
            plain, more = (-math.log(1 - r * most / (f * load)) / r
                           for most in (1 - load, 1 - load + reserve().at_full * load ** reserve().power))  # fmt: skip
            assert hold_of(load, f, r) == pytest.approx(plain, rel=1e-12)
            assert model_hold(joint, load) == pytest.approx(more, rel=1e-12)


@miss("with Rakshit's F and R a knee's hold lasts 1.8 times as long")
def test_the_knee_of_rakshit_agrees_with_the_one_used() -> None:
    # Rakshit 2021, pooled knee (V2): another opinion, which is off the power curve as well; the same band as above
    for load in JUDGED_LOADS:
        assert hold_of(load, *RAKSHIT_KNEE) == pytest.approx(model_hold("knee", load), rel=HOLD_WITHIN)


def test_rests_of_about_a_minute_recover_as_with_the_published_r() -> None:
    # checks.csv FA02, Looft and Frey-Law 2020 (V): r = 15 at ankle, knee, elbow, shoulder, 30 at the grip. Held back;
    # no constant here, for recovery slows down: of rests between a quarter of a minute and two it is some mean
    assert looft_r(15) > 30 > looft_r(60) > 15 > looft_r(120)
