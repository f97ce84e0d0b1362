"""Studies of what movements cost: what each measured, what the model gives, and the one constant that they decide.

Run: python docs/accuracy/energy_studies.py. Which rows decide is fixed by their ids as in fit_fatigue.py; the others
are held back. Four published speeds of muscles are tried, nothing in between: the one that meets most deciding rows,
among equals the one nearest to them. The Compendium says neither loads nor rests, so its rows are sessions such as they
name, set before they were computed, and met where the band holds what it says.
"""

import os

os.environ.setdefault("OMP_NUM_THREADS", "1")

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache, partial
from itertools import pairwise

import numpy as np
from fit_fatigue import halves
from studies import posed

from everyrung.body import energy
from everyrung.body.bodies import body_model
from everyrung.body.configuration import Configuration
from everyrung.body.contacts import HeldLoad, sole
from everyrung.body.coordinates import Array
from everyrung.body.demand import demand
from everyrung.body.energy import Work, band, joint_power, session_energy, upkeep_w_per_nm
from everyrung.body.ik_tasks import AngleTask, BalanceTask, DirectionTask, OffsetTask, PlaneTask, Task
from everyrung.body.inverse_dynamics import GRAVITY, Motion, finite_difference
from everyrung.body.inverse_kinematics import solve_pose, standing
from everyrung.body.model import BodyModel
from everyrung.body.rung_demand import moments
from everyrung.body.trajectory import solve_depths
from everyrung.terms.demand import Demand
from everyrung.terms.forecast import Band, Energy
from everyrung.terms.person import BodySize, Sex
from everyrung.terms.units import Tempo

ENERGY = (*(f"EN0{number}" for number in range(1, 8)), "NU48", "NU49", "NU50", "NU52")  # EN06 is a definition
DECIDES = halves(ENERGY)
SPEEDS = (5.1, 7.0, 8.4, 10.0)  # of a muscle's own length, 1/s; tables/metabolic.csv has their sources
SLOW_MAN = BodySize(sex=Sex.MALE, stature_m=1.71, mass_kg=67.0)  # Nakagata 2022: mass by its kcal and MET
WOMAN = BodySize(sex=Sex.FEMALE, stature_m=1.65, mass_kg=62.0)
ML_A_MET = 3.5  # by definition
SAMPLES = 24  # a repetition
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Instant:
    """What one instant asks of the muscles, whatever a newton metre costs: s, N m and rad/s (axis: joint)."""

    weight_s: float
    motions: tuple[str, ...]
    active_nm: Array
    speed_rad_s: Array

    def joules(self) -> float:
        upkeep = np.array([upkeep_w_per_nm(motion) for motion in self.motions])
        return self.weight_s * float(joint_power(self.active_nm, self.speed_rad_s, upkeep).sum())


def instant(body: BodyModel, asked: Demand, motion: Motion | None, weight_s: float) -> Instant:
    return Instant(
        weight_s=weight_s,
        motions=tuple(one.motion for one in asked.moments),
        active_nm=np.array([one.moment_nm - one.passive_nm for one in asked.moments]),
        speed_rad_s=energy.speeds(body, asked, motion),
    )


@cache
def repetition(rung: str, size: BodySize, lower_ms: int, rise_ms: int, load_kg: float = 0.0) -> tuple[Instant, ...]:
    """The instants of a repetition of a rung of the library, without pauses."""
    tempo = Tempo(lower_ms=lower_ms, bottom_ms=0, rise_ms=rise_ms, top_ms=0)
    problem = posed(rung, size, load_kg=load_kg)
    here = Configuration(problem.body)
    found = []
    for at in moments(problem, solve_depths(problem), tempo, 0, 0):
        here.set_q(at.q_ind)
        given, depth = problem.step(at.depth)
        asked = demand(here, given.contacts(depth), given.held_loads(depth), at.motion, given.pulls(depth))
        found.append(instant(problem.body, asked, at.motion, at.weight_ms / 1000))
    return tuple(found)


def joules(instants: Sequence[Instant]) -> float:
    return sum(one.joules() for one in instants)


def slow_kcal(rung: str) -> float:
    """A repetition above rest, 3 s down and 3 s up."""
    return joules(repetition(rung, SLOW_MAN, 3000, 3000)) / energy.constants()["j_per_kcal"]


@cache
def squat_instants(size: BodySize, period_s: float, load_kg: float = 0.0) -> tuple[Instant, ...]:
    """A squat to 90 degrees at the knee, trunk leaning up to 37 degrees, as smooth as a cosine, a load on the neck."""
    body, poses = body_model(size), []
    q_ind = standing(body)
    for depth in (1 - np.cos(np.linspace(0, np.pi, SAMPLES // 2 + 1))) / 2:
        lean = math.asin(0.6) * depth
        knees = [AngleTask(name=f"knee_flexion_{side}", angle_rad=math.radians(5 + 85 * depth)) for side in SIDES]
        trunk = DirectionTask(start="pelvis", end="neck", direction=(0.0, -math.sin(lean), math.cos(lean)))
        q_ind = solve_pose(body, [*SOLES, *knees, trunk], q_ind).q_ind
        poses.append(q_ind)
    cycle, step_s, found = [*poses, *poses[-2::-1]], period_s / SAMPLES, []
    for row, here in enumerate(cycle[:-1]):
        motion = finite_difference(cycle[row - 1 if row else -2], here, cycle[row + 1], step_s)
        held = [HeldLoad(mass_kg=load_kg, points=("neck",))] if load_kg else []
        asked = demand(Configuration(body, here), [sole(side) for side in SIDES], held, motion)
        found.append(instant(body, asked, motion, step_s))
    return tuple(found)


def squat_session(size: BodySize, period_s: float, work_s: float = 40.0, rest_s: float = 40.0) -> Energy:
    """Ten spans of work, each with its rest."""
    span = Work(duration_s=work_s, above_rest_j=work_s / period_s * joules(squat_instants(size, period_s)))
    return session_energy(size.mass_kg, [span] * 10, 10 * rest_s)


def oxygen(power_w_per_kg: float) -> float:
    """ml/kg/min of oxygen, rest included, of a power above rest."""
    by = energy.constants()
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
    upkeep = np.full_like(moment, upkeep_w_per_nm("knee_extension"))
    return float((joint_power(moment, speed, upkeep) + joint_power(moment, -speed, upkeep)).mean()) / 4


def session_met(rungs: Sequence[tuple[str, float]], rep_ms: int, work_s: float, rest_s: float) -> float:
    """A woman's session of rungs by turns, each with its load in kg: the mean MET, rests included."""
    work = []
    for rung, load_kg in rungs:
        power_w = joules(repetition(rung, WOMAN, rep_ms // 2, rep_ms // 2, load_kg)) / (rep_ms / 1000)
        work.append(Work(duration_s=work_s, above_rest_j=work_s * power_w))
    return session_energy(WOMAN.mass_kg, work, rest_s * len(work)).met.middle_not_for_show


BODY_WEIGHT = (("squat/base", 0.0), ("reverse-lunge/base", 0.0), ("push-up/knees", 0.0), ("bridge/base", 0.0))
LOADS = (("squat/goblet", 8.0), ("bent-row/pair", 8.0), ("hip-hinge/pair", 8.0), ("floor-press/pair", 8.0))
LIFT_MS = 3000  # a repetition of NU52; its pace was not seen
LIFTED_SHARE = 0.2  # of the most that can be lifted once, the middle of the study's four


def lift_kcal_min(instants: Callable[[float], Sequence[Instant]], most_kg: float) -> float:
    per_s = joules(instants(LIFTED_SHARE * most_kg)) / (LIFT_MS / 1000)
    return per_s * 60 / energy.constants()["j_per_kcal"]


def most_kg(instants: Callable[[float], Sequence[Instant]], motions: Sequence[str], size: BodySize) -> float:
    """The load at which the first of these motions is asked for all of its greatest strength: moments grow in line
    with the load."""
    light, heavy = (_peaks(instants(kg), motions) for kg in (0.0, 20.0))
    strengths = body_model(size).strengths
    full = np.array([strengths.greatest_nm[strengths.motions.index(motion)] for motion in motions])
    grown = np.maximum((heavy - light) / 20.0, 1e-9)
    return float(((full - light) / grown).min())


def _peaks(instants: Sequence[Instant], motions: Sequence[str]) -> Array:
    return np.array([max(_asked(one, motion) for one in instants) for motion in motions])


def _asked(one: Instant, motion: str) -> float:
    return float(one.active_nm[one.motions.index(motion)]) if motion in one.motions else 0.0


FOREARM_M, HAND_M, FOREARM_KG = 0.27, 0.07, 1.6  # elbow to wrist, on to the grip; a man's forearm and hand, de Leva


def curl(load_kg: float) -> tuple[Instant, ...]:
    """A curl of both arms from 10 to 130 degrees, upper arms at rest, by hand: half the load in each."""
    at = (np.arange(SAMPLES) + 0.5) / SAMPLES
    angle = np.radians(10 + 120 * (1 - np.cos(2 * np.pi * at)) / 2)
    speed = np.radians(120) * np.pi * np.sin(2 * np.pi * at) / (LIFT_MS / 1000)
    lever = load_kg / 2 * (FOREARM_M + HAND_M) + FOREARM_KG * FOREARM_M / 2
    return tuple(
        Instant(
            weight_s=LIFT_MS / 1000 / SAMPLES,
            motions=tuple(f"elbow_flexion_{side}" for side in SIDES),
            active_nm=np.full(2, GRAVITY * lever * math.sin(turned)),
            speed_rad_s=np.full(2, turning),
        )
        for turned, turning in zip(angle, speed, strict=True)
    )


def press(load_kg: float) -> tuple[Instant, ...]:
    return repetition("floor-press/pair", SLOW_MAN, LIFT_MS // 2, LIFT_MS // 2, load_kg / 2)


def lifts() -> tuple[float, float, float]:
    """Half squat, press from the floor and curl at a fifth of the most, kcal/min above rest."""
    squat = partial(squat_instants, SLOW_MAN, LIFT_MS / 1000)
    found = (
        (squat, ("knee_extension_left", "hip_extension_left", "trunk_extension")),
        (press, ("elbow_extension_left", "shoulder_flexion_left")),
        (curl, ("elbow_flexion_left",)),
    )
    return tuple(lift_kcal_min(one, most_kg(one, motions, SLOW_MAN)) for one, motions in found)  # type: ignore[return-value]


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One row of the checks: what was published, and one or more values of the model.

    A rank is met when each value is above the next; another row when the band around the model's value holds
    `published`, or, with ends of its own, when the value lies between them.
    """

    key: str
    said: str
    ask: Callable[[], Sequence[float]]
    published: float | None = None
    ends: tuple[float, float] | None = None
    unit: str = "MET"

    @property
    def decides(self) -> bool:
        return DECIDES[self.key]

    def met(self) -> bool:
        values = self.ask()
        if self.published is None:
            return all(one > other for one, other in pairwise(values))
        if self.ends:
            return self.ends[0] <= values[0] <= self.ends[1]
        return self.band().holds(self.published)

    def band(self) -> Band:
        return band(self.ask()[0], self.unit)

    def off(self) -> float | None:
        """How far the value is off, as a logarithm; a rank has no such thing."""
        return None if self.published is None else math.log(self.ask()[0] / self.published)


def _one(ask: Callable[[], float]) -> Callable[[], tuple[float]]:
    return lambda: (ask(),)


NAKAGATA = ("push-up/base", "squat/base", "calf-raise/base")
ROWS = (
    Row(
        key="EN01",
        said="body-weight resistance: squat, lunge, push-up, bridge, 4 s each, 40 s of work, 40 s of rest",
        ask=_one(lambda: session_met(BODY_WEIGHT, 4000, 40, 40)),
        published=3.0,
    ),
    Row(
        key="EN02",
        said="several exercises of 8 to 15: 8 kg in the hand, 12 in 48 s, 60 s of rest",
        ask=_one(lambda: session_met(LOADS, 4000, 48, 60)),
        published=3.5,
    ),
    Row(
        key="EN03",
        said="resistance circuit: 8 kg in the hand, 3 s each, 40 s of work, 10 s of change",
        ask=_one(lambda: session_met(LOADS, 3000, 40, 10)),
        published=5.8,
    ),
    Row(
        key="EN04",
        said="vigorous circuit: 8 kg in the hand, 2 s each, 40 s of work, 10 s of change",
        ask=_one(lambda: session_met(LOADS, 2000, 40, 10)),
        published=7.5,
    ),
    Row(
        key="EN05",
        said="body weight, high intensity: 2 s each, 40 s of work, 20 s of rest",
        ask=_one(lambda: session_met(BODY_WEIGHT, 2000, 40, 20)),
        published=6.5,
    ),
    Row(
        key="EN07",
        said="20 steps a minute of 0.30 m, without the part of the equation for walking",
        ask=_one(lambda: oxygen(stepping(20, 0.30)) / ML_A_MET),
        published=(1.33 * 1.8 * 0.30 * 20 + 3.5) / ML_A_MET,
    ),
    Row(
        key="NU48",
        said="a slow push-up above a squat above a heel rise: 0.77, 0.50, 0.13",
        ask=lambda: tuple(slow_kcal(rung) for rung in NAKAGATA),
        unit="kcal",
    ),
    Row(
        key="NU49",
        said="a slow heel rise, within people's spread",
        ask=_one(lambda: slow_kcal("calf-raise/base")),
        published=0.13,
        ends=(0.09, 0.17),
        unit="kcal",
    ),
    Row(
        key="NU50",
        said="a slow push-up, within people's spread",
        ask=_one(lambda: slow_kcal("push-up/base")),
        published=0.77,
        ends=(0.57, 0.97),
        unit="kcal",
    ),
    Row(
        key="NU52",
        said="at a fifth of the most: half squat above press above curl",
        ask=lifts,
        unit="kcal/min",
    ),
)


def at_speed(lengths_s: float) -> tuple[int, float]:
    """Deciding rows met, and how far they are off together (root mean square of logarithms), at one speed."""
    energy.constants()["fastest_lengths_s"] = lengths_s
    energy.upkeep_w_per_nm.cache_clear()
    deciding = [row for row in ROWS if row.decides]
    off = [value for row in deciding if (value := row.off()) is not None]
    return sum(row.met() for row in deciding), float(np.sqrt(np.mean(np.square(off))))


def choice(found: Sequence[tuple[int, float]]) -> float:
    """The speed that the rule picks: most met, then the nearest."""
    return max(zip(found, SPEEDS, strict=True), key=lambda each: (each[0][0], -round(each[0][1], 2)))[1]


def speed_lines() -> Iterator[str]:
    used = energy.constants()["fastest_lengths_s"]
    found = [at_speed(speed) for speed in SPEEDS]
    energy.constants()["fastest_lengths_s"] = used
    energy.upkeep_w_per_nm.cache_clear()
    yield "| lengths a second | deciding rows met | off |"
    yield "|---|---|---|"
    for speed, (met, off) in zip(SPEEDS, found, strict=True):
        yield f"| {speed:g} | {met} of {sum(row.decides for row in ROWS)} | {math.expm1(off):.0%} |"
    yield f"chosen: {choice(found):g}"


def row_line(row: Row) -> str:
    values, half = row.ask(), "deciding" if row.decides else "held back"
    model = " > ".join(f"{value:.2f}" for value in values)
    published = "the order" if row.published is None else f"{row.published:.2f}"
    off = "" if row.published is None else f"{values[0] / row.published - 1:+.0%}"
    return f"| {row.key} | {row.said} | {half} | {published} | {model} {row.unit} | {off} | {_said_met(row)} |"


def _said_met(row: Row) -> str:
    return "yes" if row.met() else "**no**"


def main() -> None:
    print("\n".join(speed_lines()))
    print("\n| row | what | half | published | model | off | met |\n|---|---|---|---|---|---|---|")
    print("\n".join(row_line(row) for row in ROWS))


if __name__ == "__main__":
    main()
