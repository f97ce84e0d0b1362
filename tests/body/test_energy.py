"""Metabolic power: joint work is that of what is lifted, costs have their order, and a cost is only shown as a band."""

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hand_loads import in_hand

from everyrung.body.configuration import Configuration, freedom, upright
from everyrung.body.contacts import centre_with, sole
from everyrung.body.demand import demand
from everyrung.body.energy import (
    Work,
    joint_power,
    muscle_power,
    session_energy,
    speeds,
    upkeep_w_per_nm,
)
from everyrung.body.inverse_dynamics import GRAVITY, Motion
from everyrung.terms.demand import Demand
from everyrung.terms.errors import Invalid
from everyrung.terms.forecast import Band, Energy

FEET = [sole(side) for side in ("left", "right")]


def curling(body: Any, turn_rad_s: float, load_kg: float) -> tuple[Configuration, Demand, Motion]:
    """Standing, the right elbow at 70 degrees and turning steadily, a load in that hand."""
    configuration = Configuration(body, upright(elbow_flexion_right=math.radians(70)))
    velocity = np.zeros(configuration.coupling_jacobian.shape[1])
    velocity[freedom("elbow_flexion_right")] = turn_rad_s
    motion = Motion(velocity=velocity, acceleration=np.zeros_like(velocity))
    return configuration, demand(configuration, FEET, [in_hand(load_kg, "right")], motion), motion


def cost(body: Any, turn_rad_s: float, load_kg: float = 5.0) -> float:
    _, asked, motion = curling(body, turn_rad_s, load_kg)
    return muscle_power(body, asked, motion)


@pytest.mark.parametrize("turn_rad_s", [1.5, -1.5])
def test_joint_power_is_that_of_what_rises_and_sinks(woman: Any, turn_rad_s: float) -> None:
    """Second way: weight of body and load times the rise of their centre of mass; steady turning keeps its speed."""
    configuration, asked, motion = curling(woman, turn_rad_s, 5.0)
    _, slope = centre_with(configuration, [in_hand(5.0, "right")])
    rising_w = (62.0 + 5.0) * GRAVITY * float(slope[2] @ motion.velocity)
    net = np.array([one.moment_nm for one in asked.moments])
    assert net @ speeds(woman, asked, motion) == pytest.approx(rising_w, rel=1e-3)
    assert rising_w * turn_rad_s > 0


def test_lifting_costs_more_than_lowering_and_lowering_more_than_holding(woman: Any) -> None:
    assert cost(woman, 1.5) > cost(woman, -1.5) > cost(woman, 0.0) > 0


def test_faster_and_heavier_cost_more(woman: Any) -> None:
    assert cost(woman, 3.0) > cost(woman, 1.5)
    assert cost(woman, 1.5, load_kg=8.0) > cost(woman, 1.5)


def test_without_motion_only_the_upkeep_of_force_is_paid(woman: Any) -> None:
    asked = curling(woman, 0.0, 5.0)[1]
    upkeep = sum(abs(one.moment_nm - one.passive_nm) * upkeep_w_per_nm(one.motion) for one in asked.moments)
    assert muscle_power(woman, asked) == pytest.approx(upkeep)
    assert muscle_power(woman, asked) == pytest.approx(cost(woman, 0.0))


def test_upkeep_is_by_hand_that_of_the_table() -> None:
    """The still share 0.054, 8.4 lengths a second: triceps 0.120 m over 0.022 m, calf 0.047 over 0.048; the shoulder's
    front, 0.115 over 0.035, is borne twice."""
    assert upkeep_w_per_nm("elbow_extension_right") == pytest.approx(2.474, abs=0.001)
    assert upkeep_w_per_nm("ankle_plantarflexion_left") == pytest.approx(0.444, abs=0.001)
    assert upkeep_w_per_nm("shoulder_flexion_left") == pytest.approx(2.981, abs=0.001)
    assert upkeep_w_per_nm("trunk_turn_left") == upkeep_w_per_nm("trunk_turn_right")


def test_what_stretched_tissue_bears_is_free(woman: Any) -> None:
    _, asked, motion = curling(woman, 1.5, 5.0)
    moments = tuple(replace(one, passive_nm=one.moment_nm) for one in asked.moments)
    assert muscle_power(woman, replace(asked, moments=moments), motion) == 0


def test_work_is_divided_by_its_efficiency() -> None:
    """By hand: 10 N m at 2 rad/s are 20 W: 80 W lifting, 16.7 W braking, each with 7 W of upkeep."""
    found = joint_power(np.array([10.0, 10.0, -10.0, 10.0]), np.array([2.0, -2.0, -2.0, 0.0]), np.full(4, 0.7))
    assert found == pytest.approx([87.0, 23.667, 87.0, 7.0], abs=0.01)


@pytest.mark.parametrize(("motion", "way"), [("toe_extension_left", 1.0), ("toe_flexion_left", -1.0)])
def test_toes_turn_the_way_they_are_named(woman: Any, motion: str, way: float) -> None:
    configuration, asked, _ = curling(woman, 0.0, 5.0)
    names = [one.motion for one in asked.moments]
    at = next(row for row, name in enumerate(names) if name.startswith("toe") and name.endswith("left"))
    moments = tuple(replace(one, motion=motion) if row == at else one for row, one in enumerate(asked.moments))
    velocity = np.zeros(configuration.coupling_jacobian.shape[1])
    velocity[freedom("toe_extension_left")] = 1.0
    turning = Motion(velocity=velocity, acceleration=np.zeros_like(velocity))
    assert speeds(woman, replace(asked, moments=moments), turning)[at] == way


def test_a_session_of_standing_is_standing() -> None:
    assert session_energy(70.0, [], 600.0).met.middle_not_for_show == pytest.approx(1.3)


def test_a_session_adds_work_to_rest_and_standing() -> None:
    """By hand: 60 kg for 10 min; 1 MET is 73.22 W; 300 s at 1 and 300 s at 1.3 MET are 50.52 kJ, work adds 60 kJ."""
    found = session_energy(60.0, [Work(duration_s=100.0, above_rest_j=20_000.0)] * 3, 300.0)
    assert found.kcal.middle_not_for_show == pytest.approx(110_522 / 4184, rel=1e-3)
    assert found.met.middle_not_for_show == pytest.approx(110_522 / 600 / 73.22, rel=1e-3)


@pytest.mark.parametrize(("mass_kg", "standing_s"), [(60.0, 0.0), (0.0, 60.0)])
def test_a_session_needs_a_body_and_time(mass_kg: float, standing_s: float) -> None:
    with pytest.raises(Invalid, match="a body and some time"):
        session_energy(mass_kg, [], standing_s)


def energy(met: float = 3.13, kcal: float = 101.7) -> Energy:
    return Energy(
        kcal=Band(middle_not_for_show=kcal, less=0.3, more=0.5, unit="kcal"),
        met=Band(middle_not_for_show=met, less=0.3, more=0.5, unit="MET"),
        reason="efficiency and people",
    )


def test_energy_is_shown_as_a_band_with_its_error_and_reason() -> None:
    assert str(energy()) == "70 to 155 kcal, 2 to 5 MET (30 % less to 50 % more, because of efficiency and people)"


@pytest.mark.parametrize("show", [str, repr, "{}".format, "{!r}".format, lambda band: f"{band!s:>20}".strip()])
def test_every_way_of_writing_a_band_writes_the_band(show: Any) -> None:
    assert show(energy().met) == "2 to 5 MET"
    assert show(energy()) == str(energy())


@pytest.mark.parametrize("number", [float, int, round, "{:.1f}".format, "%.1f".__mod__])
def test_no_band_is_a_number(number: Any) -> None:
    for shown in (energy(), energy().met, energy().kcal):
        with pytest.raises(TypeError):
            number(shown)


def test_the_only_amount_of_a_band_says_that_it_is_not_for_show() -> None:
    numbers = {name for name in dir(energy().met) if isinstance(getattr(energy().met, name), int | float)}
    assert numbers == {"middle_not_for_show", "less", "more"}
    assert not [name for name in dir(energy()) if isinstance(getattr(energy(), name), int | float)]


@pytest.mark.parametrize("middle", [0.7, 3.0, 3.13, 11.9])
def test_the_shown_band_is_never_narrower_than_the_stated_error(middle: float) -> None:
    band = Band(middle_not_for_show=middle, less=0.3, more=0.5, unit="MET")
    low, high = (float(end) for end in str(band).removesuffix(" MET").split(" to "))
    assert low <= middle * 0.7
    assert high >= middle * 1.5
    assert band.holds(middle * 1.49)
    assert band.holds(middle * 0.71)
    assert not band.holds(middle * 1.51)
    assert not band.holds(middle * 0.69)


@pytest.mark.parametrize(
    ("middle", "less", "more", "unit"),
    [
        (-1.0, 0.3, 0.5, "MET"),
        (math.nan, 0.3, 0.5, "MET"),
        (3.0, 0.0, 0.5, "MET"),
        (3.0, 1.01, 0.5, "MET"),
        (3.0, 0.3, 0.0, "MET"),
        (3.0, 0.3, math.inf, "MET"),
        (3.0, 0.3, 0.5, "kJ"),
    ],
)
def test_a_band_needs_a_middle_an_error_and_a_unit(middle: float, less: float, more: float, unit: str) -> None:
    with pytest.raises(Invalid):
        Band(middle_not_for_show=middle, less=less, more=more, unit=unit)


def test_a_set_that_costs_next_to_nothing_has_a_band_from_nothing_on() -> None:
    """Of one repetition a tenth of people need less than the one kcal that is counted by."""
    assert str(Band(middle_not_for_show=1.0, less=1.0, more=0.4, unit="kcal")) == "0 to 5 kcal"


def test_an_energy_needs_both_units_and_a_reason() -> None:
    with pytest.raises(Invalid, match="a band of kcal and one of MET"):
        replace(energy(), kcal=energy().met)
    with pytest.raises(Invalid, match="why the band"):
        replace(energy(), reason=" ")
