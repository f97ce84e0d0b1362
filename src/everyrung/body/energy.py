"""What a movement costs: metabolic power from the joints' moments and speeds, and a session's energy as a band.

Computed by joints, not by muscle fibres: the upstream model's fibre lengths are fits, so every heat per kg of muscle
would be one too, and arms, neck and hip rotators have no muscles here. Three published parts, added up as in all such
models: work that the muscles do, over Margaria's 25 %; and work that they brake, over his 120 %, arms and legs alike
(davies1974: with the trunk on a board, arms have 25 % as well); and the upkeep of force, moving or not, by the value
of Minetti and Alexander's curve for a still muscle: its share of force times fastest shortening. How fast a muscle is
goes with the length of its fibres, and how much force a moment takes with its arm (tables/muscle_length.csv): a newton
metre is three to nine times as dear at elbow and shoulder as at the ankle. What tissues bear by being stretched costs
nothing.

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
from everyrung.terms.errors import Invalid, nearest
from everyrung.terms.forecast import Band, Energy

if TYPE_CHECKING:
    from everyrung.body.inverse_dynamics import Motion
    from everyrung.body.model import BodyModel

STANDING = ("07040", "2011")
ERRORS = {
    "error_efficiency": "how efficient muscles are",
    "error_holding": "what holding costs",
    "error_people": "how people differ",
}
OUTSIDE = "error_outside"


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


def activity(name: str) -> str:
    """What an activity of the compendium is, with its MET. Raises Invalid for one that the table has not.

    >>> activity("02024 2024")
    'calisthenics, light: 2.8 MET'
    """
    code, _, edition = name.partition(" ")
    for row in read_table("compendium").rows:
        if (row["code"], row["edition"]) == (code, edition):
            return f"{row['activity']}: {row['met']} MET"
    codes = [f"{row['code']} {row['edition']}" for row in read_table("compendium").rows]
    raise Invalid("energy", "a code and an edition of tables/compendium.csv", name, nearest=nearest(name, codes))


def activity_w(name: str, mass_kg: float) -> float:
    """The power above rest of an activity for a body of this mass, W. Raises KeyError for one without a row.

    >>> round(activity_w("02024 2024", 60.0))
    132
    """
    return (compendium_met(*name.split()) - 1.0) * met_w_per_kg() * mass_kg


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
    less, more = (math.hypot(*(constants()[name] for name in names)) for names in (ERRORS, (*ERRORS, OUTSIDE)))
    return less, more


def reason() -> str:
    """What makes a computed cost unsure, each with its part."""
    by = constants()
    each = ", ".join(f"{words} ({by[name]:.0%})" for name, words in ERRORS.items())
    return f"{each} and, upwards only, what the model leaves out ({by[OUTSIDE]:.0%})"


def band(middle: float, unit: str) -> Band:
    """A computed cost, in `unit`, with its error. Raises Invalid as `Band` does."""
    less, more = error()
    return Band(middle_not_for_show=middle, less=less, more=more, unit=unit)


@cache
def radians_a_length() -> dict[str, float]:
    """By motion ('knee_extension'): the radians that a joint turns while its muscles shorten by their own length, times
    the joints in a row that bear the moment (tables/muscle_length.csv).

    >>> radians = radians_a_length()
    >>> round(radians["elbow_extension"] / radians["ankle_plantarflexion"], 1)
    5.6
    """
    rows = read_table("muscle_length").rows
    return {row["motion"]: float(row["fibre_m"]) / float(row["arm_m"]) * float(row["joints"]) for row in rows}


@cache
def upkeep_w_per_nm(motion: str) -> float:
    """What a newton metre of 'knee_extension_left' costs to keep up, W: a still muscle's share (minetti1997) of its
    force times its fastest shortening. Raises KeyError for a motion without a row.

    >>> round(upkeep_w_per_nm("knee_extension_left"), 2)
    1.06
    """
    by, radians = constants(), radians_a_length()
    plain = motion if motion in radians else motion.rsplit("_", 1)[0]
    return by["isometric_share"] * by["fastest_lengths_s"] * radians[plain]


def joint_power(active_nm: Array, speed_rad_s: Array, upkeep: Array) -> Array:
    """Metabolic power above rest, W (axis: joint), from moments, N m, speeds, rad/s, and what each newton metre costs
    to keep up, W. Muscles shorten where moment and speed have the same sign. Work over its efficiency: margaria1968.

    >>> joint_power(np.array([50.0, 50.0]), np.array([1.0, -1.0]), np.array([1.0, 1.0])).round(1).tolist()
    [250.0, 91.7]
    """
    by = constants()
    work = active_nm * speed_rad_s
    cost: Array = np.where(work > 0, work / by["positive_efficiency"], -work / by["negative_efficiency"])
    cost += upkeep * np.abs(active_nm)
    return cost


def speeds(body: "BodyModel", demand: Demand, motion: "Motion | None") -> Array:
    """How fast each joint of `demand.moments` turns the way of its moment, rad/s (axis: joint, in that order); all zero
    without motion.
    """
    if motion is None:
        return np.zeros(len(demand.moments))
    ups = zip(demand.moments, body.strengths.ways, strict=True)
    signs = np.array([1.0 if one.motion == up else -1.0 for one, ((up, _), _) in ups])
    turning: Array = signs * motion.velocity[ROOT_FREEDOMS:]
    return turning


def muscle_power(body: "BodyModel", demand: Demand, motion: "Motion | None" = None) -> float:
    """Metabolic power above rest, W, of one instant; without motion that of holding the pose."""
    active = np.array([one.moment_nm - one.passive_nm for one in demand.moments])
    upkeep = np.array([upkeep_w_per_nm(one.motion) for one in demand.moments])
    return float(joint_power(active, speeds(body, demand, motion), upkeep).sum())


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
        reason=reason(),
    )
