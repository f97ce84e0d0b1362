"""Passive moments near the ends of the joints' ranges: one-sided, none in the middle (tables/joint_range.csv)."""

from dataclasses import dataclass

import numpy as np

from everyrung.body.coordinates import COORDINATES, ROOT, ROOT_FREEDOMS, Array
from everyrung.body.strengths import expanded
from everyrung.tables.reader import read_table
from everyrung.terms.body import BodySize

ONSET = np.radians(15.0)  # chosen, because tissues tighten over about the last 15 degrees of a range
STEEPNESS = 2.0  # chosen, because a limb leaning on its ligaments then rests within a few degrees past the end
FARTHEST = 2.0  # onsets past the start: the moment grows no more there, so that a solver meets no overflow


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """Both ends of every angle (rad) and the moment there (N m)."""

    low: Array
    high: Array
    end_nm: Array

    def moments(self, q_ind: Array) -> Array:
        """The generalised forces by which the joints' tissues push back from their ends."""
        angles = q_ind[ROOT:]
        push = self.end_nm * (tightening(self.low + ONSET - angles) - tightening(angles - self.high + ONSET))
        return np.concatenate([np.zeros(ROOT_FREEDOMS), push])


def tightening(past: Array) -> Array:
    """0 before the onset, 1 at the end of the range, smooth in between, steeper beyond."""
    x = np.clip(past / ONSET, 0.0, FARTHEST)
    grown: Array = x**2 * np.exp(STEEPNESS * (x - 1))
    return grown


def limits(size: BodySize) -> Limits:
    """The joint ranges of a body; the moments go with its mass."""
    rows = {name: row for row in read_table("joint_range").rows for name in expanded(row["coordinate"])}
    ordered = [rows[one.name] for one in COORDINATES]
    return Limits(
        low=np.radians([float(row["low_deg"]) for row in ordered]),
        high=np.radians([float(row["high_deg"]) for row in ordered]),
        end_nm=np.array([float(row["end_nm_per_kg"]) for row in ordered]) * size.mass_kg,
    )
