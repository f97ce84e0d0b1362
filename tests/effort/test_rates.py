"""The constants of fatigue as they are read, and what they are for."""

import numpy as np
import pytest

from everyrung.effort.people_strength import motions, without_side
from everyrung.effort.rates import LEFT_OUT, constant, joint_of, rates, rep_strike, rest


def test_every_motion_that_people_have_strength_for_is_of_a_joint_or_left_out() -> None:
    for motion in motions():
        assert (joint_of(motion) is None) == motion.startswith(LEFT_OUT)
    assert joint_of("hip_extension_left") == "general"
    assert joint_of("knee_extension_right") == "knee"
    assert joint_of("hip_rotation_in_left") is None


def test_a_usual_repetition_costs_what_the_table_says() -> None:
    # n = 1 + (1/x - 1) / K: holding its mean load for its time, and the strike, make K together
    whole = constant("repetition", "all", "rep_fatigue")
    time = constant("hold", "general", "fatigue") * constant("repetition", "all", "rep_seconds")
    assert time * constant("repetition", "all", "rep_mean_share") + rep_strike() == pytest.approx(whole)
    assert 0 < rep_strike() < whole


def test_a_grip_is_a_hold_even_while_the_body_repeats() -> None:
    found = rates(("grip_left", "knee_extension_left", "shoulder_flexion_left"))
    assert found.rep_strike[0] == 0.0
    assert found.rep_fatigue[0] == found.hold_fatigue[0] == constant("hold", "grip", "fatigue")
    assert found.rep_fatigue[1] == found.rep_fatigue[2] == constant("hold", "general", "fatigue")


def test_the_parts_share_the_rise_and_the_slow_one_is_slower_in_every_case() -> None:
    slow, usual, quick = (rest(case) for case in ("slow", "all", "quick"))
    for one in (slow, usual, quick):
        assert one.share.sum() == pytest.approx(1)
        assert one.rate[0, 0] > 10 * one.rate[0, 1]
    for seconds in (20.0, 60.0, 300.0):  # what is left of a set's fatigue
        left = [float((one.share * np.exp(-one.rate * seconds)).sum()) for one in (slow, usual, quick)]
        assert left == sorted(left, reverse=True)


def test_sides_are_taken_off_a_motion_s_name() -> None:
    assert without_side("knee_extension_left") == without_side("knee_extension") == "knee_extension"
