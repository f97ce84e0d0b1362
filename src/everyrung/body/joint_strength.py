"""How strong a body's joints are, by direction and angle, from published dynamometry (tables/joint_strength.csv).

Passive moments near the ends of the joints' ranges: one-sided, none in the middle (tables/joint_range.csv).
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from everyrung.body.coordinates import COORDINATES, ROOT, ROOT_FREEDOMS, Array, Flags, Integers, coordinate_names
from everyrung.tables.reader import read_table
from everyrung.terms.person import BodySize

MEASURED_BMI = 24.0  # kg/m2, chosen, because the people measured were young and mostly of ordinary build
GIRTH_POWER = 2 / 3  # from memory: force goes with cross-section, and cross-section with mass to this power
LEAST_OF_PEAK = 0.25  # chosen, because the cosine was fitted over the middle of the range and means nothing at its ends


Way = tuple[str, int | None]  # a motion, and its entry in Strengths; None where nobody measures it
TOES = {1.0: "toe_extension", -1.0: "toe_flexion"}  # no row of tables/joint_strength.csv


@dataclass(frozen=True, slots=True, kw_only=True)
class Strengths:
    """The greatest moments of one body, N m (axis of all arrays: motion and side); `freedom` and `sign` say which way
    it turns, `peak` (rad) and `width` (a factor of the angle) how its strength falls with the angle.

    `fitted` motions are those that muscle forces are scaled to; `generated` ones have no muscles, only a torque. `ways`
    has, of each coordinate, the motion that turns it up and the one that turns it down, with its entry here.
    """

    motions: tuple[str, ...]
    freedom: Integers
    sign: Array
    greatest_nm: Array
    peak: Array
    width: Array
    fitted: Flags
    generated: Flags
    from_memory: Flags
    ways: tuple[tuple[Way, Way], ...]

    def at(self, q_ind: Array) -> Array:
        """What each motion can yield in the pose `q_ind` (axis: as in coordinates.py), N m (axis: motion)."""
        off = (q_ind[self.freedom - ROOT_FREEDOMS + ROOT] - self.peak) * self.width
        fall = np.cos(np.clip(off, -np.pi / 2, np.pi / 2))
        return self.greatest_nm * np.maximum(fall, LEAST_OF_PEAK)


def strength_mass_kg(size: BodySize) -> float:
    """The mass that the N m/kg of the table are multiplied by.

    It grows with stature squared for people of ordinary build, and with girth only as cross-sections do: someone
    heavier at the same stature is stronger, but not in proportion.

    >>> [round(strength_mass_kg(BodySize(sex="male", stature_m=1.8, mass_kg=kg)), 1) for kg in (77.76, 100)]
    [77.8, 92.0]
    """
    ordinary = MEASURED_BMI * size.stature_m**2
    return float(ordinary * (size.mass_kg / ordinary) ** GIRTH_POWER)


def body_coordinates(coordinate: str) -> tuple[str, ...]:
    """A table's coordinate by the names of the body's: itself, or left and right.

    >>> body_coordinates("trunk_flexion"), body_coordinates("knee_flexion")
    (('trunk_flexion',), ('knee_flexion_left', 'knee_flexion_right'))
    """
    names = coordinate_names()
    return (coordinate,) if coordinate in names else tuple(f"{coordinate}_{side}" for side in ("left", "right"))


def strengths(size: BodySize) -> Strengths:
    """The joint strengths of a body of this size, N m, from tables/joint_strength.csv, where each row has its source.

    >>> woman = strengths(BodySize(sex="female", stature_m=1.65, mass_kg=62))
    >>> round(float(woman.greatest_nm[woman.motions.index("knee_extension_left")]))
    152
    """
    mass, names = strength_mass_kg(size), coordinate_names()
    rows = [(row, name) for row in read_table("joint_strength").rows for name in body_coordinates(row["coordinate"])]
    motions = tuple(row["motion"] + name.removeprefix(row["coordinate"]) for row, name in rows)
    entries: dict[tuple[str, float], Way] = {
        (name, float(row["sign"])): (motions[entry], entry) for entry, (row, name) in enumerate(rows)
    }
    return Strengths(
        motions=motions,
        freedom=np.array([ROOT_FREEDOMS + names.index(name) for _, name in rows]),
        sign=np.array([float(row["sign"]) for row, _ in rows]),
        greatest_nm=np.array([float(row[size.sex]) * mass for row, _ in rows]),
        peak=np.radians([float(row["peak_deg"]) for row, _ in rows]),
        width=np.array([float(row["width"]) for row, _ in rows]),
        fitted=np.array([row["by"] == "fitted" for row, _ in rows]),
        generated=np.array([row["by"] == "generator" for row, _ in rows]),
        from_memory=np.array([row["flag"].startswith("M") for row, _ in rows]),
        ways=tuple((_way(entries, name, 1.0), _way(entries, name, -1.0)) for name in names),
    )


def _way(entries: Mapping[tuple[str, float], Way], name: str, sign: float) -> Way:
    return entries.get((name, sign), (TOES[sign] + name.removeprefix("toe_extension"), None))


ONSET = np.radians(15.0)  # chosen, because tissues tighten over about the last 15 degrees of a range
STEEPNESS = 2.0  # chosen, because a limb leaning on its ligaments then rests within a few degrees past the end
FARTHEST = 2.0  # onsets past the start: the moment grows no more there, so that a solver meets no overflow


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """Both ends of every angle, rad, and the moment there, N m (axis of each: coordinate)."""

    low: Array
    high: Array
    end_nm: Array

    def moments(self, q_ind: Array) -> Array:
        """The generalised forces, N m (axis: freedom), by which the joints' tissues push back from their ends in the
        pose `q_ind` (axis: as in coordinates.py).
        """
        angles = q_ind[ROOT:]
        push = self.end_nm * (tightening(self.low + ONSET - angles) - tightening(angles - self.high + ONSET))
        return np.concatenate([np.zeros(ROOT_FREEDOMS), push])


def tightening(past: Array) -> Array:
    """A factor of the end's moment by how far an angle is past the onset, rad (axis: coordinate): 0 before the onset, 1
    at the end of the range, smooth in between, steeper beyond.

    >>> tightening(np.array([-1.0, 0.0, ONSET])).tolist()
    [0.0, 0.0, 1.0]
    """
    x = np.clip(past / ONSET, 0.0, FARTHEST)
    grown: Array = x**2 * np.exp(STEEPNESS * (x - 1))
    return grown


def limits(size: BodySize) -> Limits:
    """The joint ranges of a body, from tables/joint_range.csv; the moments go with its mass."""
    rows = {name: row for row in read_table("joint_range").rows for name in body_coordinates(row["coordinate"])}
    ordered = [rows[one.name] for one in COORDINATES]
    return Limits(
        low=np.radians([float(row["low_deg"]) for row in ordered]),
        high=np.radians([float(row["high_deg"]) for row in ordered]),
        end_nm=np.array([float(row["end_nm_per_kg"]) for row in ordered]) * size.mass_kg,
    )
