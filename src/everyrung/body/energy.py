"""What a movement costs: metabolic power from the joints' moments and speeds, and a session's energy as a band.

Computed by joints, not by muscle fibres: the upstream model's fibre lengths are fits, so every heat per kg of muscle
would be one too, and arms, neck and hip rotators have no muscles here. Three published parts, added up as in all such
models: work that the muscles do, over Margaria's 25 %; work that they brake, over his 120 %; and the upkeep of force,
moving or not, by the value of Minetti and Alexander's curve for a still muscle: its share of the moment times the
fastest speed of a joint (tables/metabolic.csv). What tissues bear by being stretched costs nothing.

Not in the model: muscles of one joint working against each other (beyond what the demand asks of them), faster
breathing and heartbeat, slow recovery after the session. These only add to the cost, so a band reaches further up than
down. Nor what a muscle over two joints carries from one to the other, which saves a little. Debts of oxygen are paid in
the rests: only the mean over a whole session is comparable with oxygen that was measured.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

import numpy as np

from everyrung.body.coordinates import ROOT_FREEDOMS, Array
from everyrung.tables.reader import read_table
from everyrung.terms.demand import Demand
from everyrung.terms.errors import Invalid
from everyrung.terms.forecast import Band, Energy

if TYPE_CHECKING:
    from everyrung.body.inverse_dynamics import Motion
    from everyrung.body.model import BodyModel

STANDING = ("07040", "2011")
ERRORS = ("error_efficiency", "error_holding", "error_people")
REASON = "how efficient muscles are, how people differ, and what the model leaves out"


@cache
def constants() -> dict[str, float]:
    """The values of tables/metabolic.csv by name; each has its unit in its name, or is a factor, and its source in the
    table.
    """
    return {row["name"]: float(row["value"]) for row in read_table("metabolic").rows}


@cache
def compendium_met(code: str, edition: str) -> float:
    """The MET of an activity in tables/compendium.csv (ainsworth2011, herrmann2024). Raises KeyError when it has no
    such row.

    >>> compendium_met(*STANDING)
    1.3
    """
    return {(row["code"], row["edition"]): float(row["met"]) for row in read_table("compendium").rows}[code, edition]


def met_w_per_kg() -> float:
    """The power of 1 MET, W per kg of body mass.

    >>> round(met_w_per_kg(), 2)
    1.22
    """
    by = constants()
    return by["rest_ml_kg_min"] / 60 * by["kcal_per_litre"] / 1000 * by["j_per_kcal"]


def error() -> tuple[float, float]:
    """How far a computed cost may be too high and too low, as fractions: the errors are independent, so their squares
    add up; what is left out counts upwards only."""
    less, more = (math.hypot(*(constants()[name] for name in names)) for names in (ERRORS, (*ERRORS, "error_outside")))
    return less, more


def band(middle: float, unit: str) -> Band:
    """A computed cost, in `unit`, with its error. Raises Invalid as `Band` does."""
    less, more = error()
    return Band(middle_not_for_show=middle, less=less, more=more, unit=unit)


def joint_power(active_nm: Array, speed_rad_s: Array) -> Array:
    """Metabolic power above rest, W (axis: joint), from moments, N m, and speeds, rad/s. Muscles shorten where both
    have the same sign.

    Work over its efficiency (margaria1968), and the upkeep of force by what a still muscle costs (minetti1997) at the
    fastest speed of a joint (thorstensson1976).

    >>> joint_power(np.array([50.0, 50.0]), np.array([1.0, -1.0])).round(1).tolist()
    [232.4, 74.1]
    """
    by = constants()
    work = active_nm * speed_rad_s
    upkeep = by["isometric_share"] * by["fastest_rad_s"] * np.abs(active_nm)
    cost: Array = np.where(work > 0, work / by["positive_efficiency"], -work / by["negative_efficiency"]) + upkeep
    return cost


def speeds(body: "BodyModel", asked: Demand, motion: "Motion | None") -> Array:
    """How fast each joint of `asked.moments` turns the way of its moment, rad/s (axis: joint, in that order); all zero
    without motion.
    """
    if motion is None:
        return np.zeros(len(asked.moments))
    ups = zip(asked.moments, body.strengths.ways, strict=True)
    signs = np.array([1.0 if one.motion == up else -1.0 for one, ((up, _), _) in ups])
    turning: Array = signs * motion.velocity[ROOT_FREEDOMS:]
    return turning


def muscle_power(body: "BodyModel", asked: Demand, motion: "Motion | None" = None) -> float:
    """Metabolic power above rest, W, of one instant; without motion that of holding the pose."""
    active = np.array([one.moment_nm - one.passive_nm for one in asked.moments])
    return float(joint_power(active, speeds(body, asked, motion)).sum())


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """A span of work: how long, and what it costs above rest, J."""

    duration_s: float
    above_rest_j: float


def session_energy(mass_kg: float, work: Sequence[Work], standing_s: float) -> Energy:
    """The energy of spans of work and of `standing_s` seconds of rests, talk and changes in between, rest included, in
    kcal and MET.

    `mass_kg` is the body's, without load. Raises Invalid when the session has no length.

    >>> work = Work(duration_s=60.0, above_rest_j=12_000.0)
    >>> round(session_energy(60.0, [work], standing_s=60.0).kcal.middle_not_for_show, 1)
    5.3
    """
    working_s = sum(span.duration_s for span in work)
    if mass_kg <= 0 or working_s + standing_s <= 0:
        raise Invalid("energy of a session", "a body and some time", f"{mass_kg:g} kg, {working_s + standing_s:g} s")
    one_met_w = met_w_per_kg() * mass_kg
    still_s = working_s + compendium_met(*STANDING) * standing_s
    joules = one_met_w * still_s + sum(span.above_rest_j for span in work)
    return Energy(
        kcal=band(joules / constants()["j_per_kcal"], "kcal"),
        met=band(joules / one_met_w / (working_s + standing_s), "MET"),
        reason=REASON,
    )
