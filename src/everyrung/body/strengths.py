"""How strong a body's joints are, by direction and angle, from published dynamometry (tables/joint_strength.csv)."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from everyrung.body.coordinates import ROOT, ROOT_FREEDOMS, Array, coordinate_names
from everyrung.tables.reader import read_table
from everyrung.terms.body import BodySize

MEASURED_BMI = 24.0  # kg/m2, chosen, because the people measured were young and mostly of ordinary build
GIRTH_POWER = 2 / 3  # from memory: force goes with cross-section, and cross-section with mass to this power
LEAST_OF_PEAK = 0.25  # chosen, because the cosine was fitted over the middle of the range and means nothing at its ends


@dataclass(frozen=True, slots=True, kw_only=True)
class Strengths:
    """The greatest moments of one body, N m, one entry a motion and side; `freedom` and `sign` say which way it turns.

    `fitted` motions are those that muscle forces are scaled to; `generated` ones have no muscles, only a torque.
    """

    motions: tuple[str, ...]
    freedom: NDArray[np.int64]
    sign: Array
    greatest_nm: Array
    peak: Array
    width: Array
    fitted: NDArray[np.bool_]
    generated: NDArray[np.bool_]
    from_memory: NDArray[np.bool_]

    def at(self, q_ind: Array) -> Array:
        """What each motion can yield in this pose, N m."""
        off = (q_ind[self.freedom - ROOT_FREEDOMS + ROOT] - self.peak) * self.width
        fall = np.cos(np.clip(off, -np.pi / 2, np.pi / 2))
        return self.greatest_nm * np.maximum(fall, LEAST_OF_PEAK)


def strength_mass_kg(size: BodySize) -> float:
    """The mass that the N m/kg of the table are multiplied by.

    It grows with stature squared for people of ordinary build, and with girth only as cross-sections do: someone
    heavier at the same stature is stronger, but not in proportion.
    """
    ordinary = MEASURED_BMI * size.stature_m**2
    return float(ordinary * (size.mass_kg / ordinary) ** GIRTH_POWER)


def expanded(coordinate: str) -> tuple[str, ...]:
    """A table's coordinate by the names of the body's: itself, or left and right."""
    names = coordinate_names()
    return (coordinate,) if coordinate in names else tuple(f"{coordinate}_{side}" for side in ("left", "right"))


def strengths(size: BodySize) -> Strengths:
    """The joint strengths of a body of this size."""
    mass, names = strength_mass_kg(size), coordinate_names()
    rows = [(row, name) for row in read_table("joint_strength").rows for name in expanded(row["coordinate"])]
    return Strengths(
        motions=tuple(row["motion"] + name.removeprefix(row["coordinate"]) for row, name in rows),
        freedom=np.array([ROOT_FREEDOMS + names.index(name) for _, name in rows]),
        sign=np.array([float(row["sign"]) for row, _ in rows]),
        greatest_nm=np.array([float(row[size.sex]) * mass for row, _ in rows]),
        peak=np.radians([float(row["peak_deg"]) for row, _ in rows]),
        width=np.array([float(row["width"]) for row, _ in rows]),
        fitted=np.array([row["by"] == "fitted" for row, _ in rows]),
        generated=np.array([row["by"] == "generator" for row, _ in rows]),
        from_memory=np.array([row["flag"].startswith("M") for row, _ in rows]),
    )
