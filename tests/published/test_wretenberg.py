"""Wretenberg 1996, MSSE 28(2):218-24: deep and parallel squat; hip and knee moment both rose with depth (JM03, JM04).

No static model can have that. What it has is what Yoshioka 2014 (PMC3995647, V) found when people rise from seats: hip
and knee moment together are greatest with the thigh level (NU30, in push_studies.py).
"""

import pytest
from studies import MAN, NOT_EXPRESSIBLE, hip_and_knee

from everyrung.body.bodies import body_model
from everyrung.tables.anthropometry import segment_shares


def test_they_are_the_weight_above_the_knee_times_the_level_distance_from_hip_to_knee() -> None:
    """By hand, thigh level (the knee at 120 degrees): one leg bears half of trunk and bar, and its own thigh."""
    shares, thigh_m = segment_shares(MAN.sex), body_model(MAN).proportions.thigh_m
    thigh = shares["thigh"]
    above = 0.5 * (1 - 2 * (thigh.mass + shares["shank"].mass + shares["foot"].mass) + 1)
    by_hand = 9.81 * MAN.mass_kg * thigh_m * (above + thigh.mass * (1 - thigh.cm))
    assert hip_and_knee(120.0) == pytest.approx(by_hand, rel=0.1)  # the thighs point outwards a little


def test_the_reason_is_given() -> None:
    assert NOT_EXPRESSIBLE["JM03"] == NOT_EXPRESSIBLE["JM04"]
    assert "dynamic" in NOT_EXPRESSIBLE["JM03"]
