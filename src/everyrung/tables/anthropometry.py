"""Body proportions (regressions on stature) and segment masses, read with their types."""

from dataclasses import dataclass
from functools import cache

from everyrung.tables.reader import read_table
from everyrung.terms.person import Sex


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """One measure in one sex: its spread and its least-squares line on stature. Lengths in m, mass in kg."""

    mean: float
    sd: float
    p05: float
    p50: float
    p95: float
    slope: float
    intercept: float
    see: float
    r: float

    def at(self, stature_m: float) -> float:
        """The mean of people of this stature."""
        return self.slope * stature_m + self.intercept


@dataclass(frozen=True, slots=True, kw_only=True)
class SegmentShare:
    """A segment's part of the body mass, its centre of mass and radii of gyration as fractions of its length."""

    mass: float
    cm: float
    rg_sagittal: float
    rg_transverse: float
    rg_longitudinal: float


@cache
def measure(sex: Sex, name: str) -> Measure:
    """The row (sex, name) of tables/body_proportions.csv, in m or kg. Raises KeyError when there is none."""
    rows = {(row["sex"], row["measure"]): row for row in read_table("body_proportions").rows}
    row = rows[sex, name]
    unit = 1.0 if name == "mass" else 1e-3
    spread = {field: float(row[field]) * unit for field in ("mean", "sd", "p05", "p50", "p95", "intercept", "see")}
    slope = float(row["slope"]) * (1000.0 if name == "mass" else 1.0)
    return Measure(slope=slope, r=float(row["r"]), **spread)


@cache
def segment_shares(sex: Sex) -> dict[str, SegmentShare]:
    """The segments of tables/segment_masses.csv for one sex, by name."""
    fields = ("mass", "cm", "rg_sagittal", "rg_transverse", "rg_longitudinal")
    return {
        row["segment"]: SegmentShare(**{field: float(row[field]) for field in fields})
        for row in read_table("segment_masses").rows
        if row["sex"] == sex
    }
