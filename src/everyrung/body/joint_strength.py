"""How strong a young body's joints are, by direction and angle, from published dynamometry (tables/joint_strength.csv).

Later ages multiply these, joint by joint (effort/people_strength.py), so that a demand is computed once for all ages.
Passive moments near the ends of the joints' ranges: one-sided, none in the middle (tables/joint_range.csv, measured
ones from tables/joint_ends.csv).
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from everyrung.body.coordinates import COORDINATES, ROOT, ROOT_FREEDOMS, Array, Flags, Integers, coordinate_names
from everyrung.tables.anthropometry import measure
from everyrung.tables.reader import read_table
from everyrung.tables.strength import strength_rows, tight_ends
from everyrung.terms.person import BodySize

MEASURED_BMI = 24.0  # kg/m2, chosen, because the people measured were young and mostly of ordinary build
GIRTH_POWER = 2 / 3  # from memory: force goes with cross-section, and cross-section with mass to this power
LEAST_OF_PEAK = 0.25  # chosen, because the cosine was fitted over the middle of the range and means nothing at its ends


Way = tuple[str, int | None]  # a motion, and its entry in Strengths; None where nobody measures it
TOES = {1.0: "toe_extension", -1.0: "toe_flexion"}  # no row of tables/joint_strength.csv


@dataclass(frozen=True, slots=True, kw_only=True)
class Strengths:
    """The greatest moments of one body, N m (axis of all arrays: motion and side); `freedom` and `sign` say which way
    it turns, `peak` (rad) and `width` (a factor of the angle) how its strength falls with the angle, `first` and `last`
    (rad) between which angles it was measured: beyond them it stays as it is there.

    Muscle forces are scaled to the motions `for_fit`; those `by_generator` have no muscles, only a torque. `ways` has,
    of each coordinate, the motion that turns it up and the one that turns it down, with its entry here.
    """

    motions: tuple[str, ...]
    freedom: Integers
    sign: Array
    greatest_nm: Array
    peak: Array
    width: Array
    first: Array
    last: Array
    for_fit: Flags
    by_generator: Flags
    from_memory: Flags
    ways: tuple[tuple[Way, Way], ...]

    @property
    def entries(self) -> tuple[Integers, Integers]:
        """Of each coordinate the entry that turns it up, and that which turns it down; -1 where nobody measures it."""
        ups, downs = (np.array([-1 if way[at][1] is None else way[at][1] for way in self.ways]) for at in (0, 1))
        return ups, downs

    def at(self, q_ind: Array) -> Array:
        """What each motion can yield in the pose `q_ind` (axis: as in coordinates.py), N m (axis: motion)."""
        angles = np.clip(q_ind[self.freedom - ROOT_FREEDOMS + ROOT], self.first, self.last)
        off = (angles - self.peak) * self.width
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
    rows = [(row, name) for row in strength_rows() for name in body_coordinates(row.coordinate)]
    curves = [row.curves[size.sex] for row, _ in rows]
    motions = tuple(row.motion + name.removeprefix(row.coordinate) for row, name in rows)
    entries: dict[tuple[str, float], Way] = {
        (name, row.sign): (motions[entry], entry) for entry, (row, name) in enumerate(rows)
    }
    return Strengths(
        motions=motions,
        freedom=np.array([ROOT_FREEDOMS + names.index(name) for _, name in rows]),
        sign=np.array([row.sign for row, _ in rows]),
        greatest_nm=np.array([curve.nm_per_kg * mass for curve in curves]),
        peak=np.radians([curve.peak_deg for curve in curves]),
        width=np.array([curve.width for curve in curves]),
        first=np.radians([row.from_deg for row, _ in rows]),
        last=np.radians([row.to_deg for row, _ in rows]),
        for_fit=np.array([row.by == "fitted" for row, _ in rows]),
        by_generator=np.array([row.by == "generator" for row, _ in rows]),
        from_memory=np.array([row.flag.startswith("M") for row, _ in rows]),
        ways=tuple((_way(entries, name, 1.0), _way(entries, name, -1.0)) for name in names),
    )


def _way(entries: Mapping[tuple[str, float], Way], name: str, sign: float) -> Way:
    return entries.get((name, sign), (TOES[sign] + name.removeprefix("toe_extension"), None))


STEEP = 12.0  # 1/rad; chosen, because tissues tighten over about the last 15 degrees of a range
FAINT = 0.05  # of an end's moment; chosen, because less than that is below what the poses are known by
FARTHEST = 0.26  # rad past an end: the moment grows no more there, so that a solver meets no overflow


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """Both ends of every angle, rad, the moments there, N m, and how steeply these grow, 1/rad (axis of each:
    coordinate).
    """

    low: Array
    high: Array
    low_nm: Array
    high_nm: Array
    low_per_rad: Array
    high_per_rad: Array

    def moments(self, q_ind: Array) -> Array:
        """The generalised forces, N m (axis: freedom), by which the joints' tissues push back from their ends in the
        pose `q_ind` (axis: as in coordinates.py).
        """
        angles = q_ind[ROOT:]
        up = self.low_nm * tightening(self.low - angles, self.low_per_rad)
        down = self.high_nm * tightening(angles - self.high, self.high_per_rad)
        return np.concatenate([np.zeros(ROOT_FREEDOMS), up - down])


def tightening(past: Array, per_rad: Array) -> Array:
    """A factor of the end's moment by how far an angle is past the end, rad (axis of both: coordinate): exponential, 1
    at the end of the range, 0 where it would be faint.

    >>> tightening(np.array([-1.0, 0.0]), np.array([12.0, 12.0])).tolist()
    [0.0, 1.0]
    """
    grown: Array = np.exp(per_rad * np.minimum(past, FARTHEST))
    return np.maximum(grown - FAINT, 0.0) / (1 - FAINT)


def limits(size: BodySize) -> Limits:
    """The joint ranges of a body, from tables/joint_range.csv and tables/joint_ends.csv; the moments go with mass."""
    rows = {name: row for row in read_table("joint_range").rows for name in body_coordinates(row["coordinate"])}
    ranges = [rows[one.name] for one in COORDINATES]
    part = size.mass_kg / (MEASURED_BMI * measure(size.sex, "stature").mean ** 2)  # of the body that was measured
    moments, steep = {}, {}
    for end in ("low", "high"):
        ends = [tight_ends().get((row["coordinate"], end)) for row in ranges]
        chosen_nm = [float(row["end_nm_per_kg"]) * size.mass_kg for row in ranges]
        both = zip(ends, chosen_nm, strict=True)
        moments[end] = np.array([one.nm[size.sex] * part if one else nm for one, nm in both])
        steep[end] = np.array([one.per_rad[size.sex] if one else STEEP for one in ends])
    return Limits(
        low=np.radians([float(row["low_deg"]) for row in ranges]),
        high=np.radians([float(row["high_deg"]) for row in ranges]),
        low_nm=moments["low"],
        high_nm=moments["high"],
        low_per_rad=steep["low"],
        high_per_rad=steep["high"],
    )
