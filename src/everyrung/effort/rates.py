"""How fast each joint's muscles tire and recover (tables/fatigue.csv): one family for holds, one for repetitions."""

from dataclasses import dataclass
from functools import cache

import numpy as np

from everyrung.effort.three_compartment import Array, Integers
from everyrung.tables.reader import read_table

FAMILIES = ("ankle", "knee", "trunk", "shoulder", "elbow", "grip")
UPPER = ("shoulder", "elbow")
# Turning the thigh, the arm or the foot, and the small joints: their strengths are from unsure memory, and no coach
# stops a set by them. Chosen; docs/accuracy-audience.md says what that leaves out.
LEFT_OUT = ("hip_rotation", "shoulder_rotation", "foot", "forearm", "toe", "neck", "ankle_dorsiflexion")


@cache
def constant(family: str, joint: str, name: str) -> float:
    """One value of tables/fatigue.csv, in the unit of its row. Raises KeyError when there is none."""
    rows = {(row["family"], row["joint"], row["name"]): float(row["value"]) for row in read_table("fatigue").rows}
    return rows[family, joint, name]


@cache
def joint_of(motion: str) -> str | None:
    """The joint family of 'knee_extension_left'; the hip has none of its own ('general'); None for what is left out."""
    if motion.startswith(LEFT_OUT):
        return None
    return next((name for name in FAMILIES if motion.startswith(name)), "general")


def rep_strike() -> float:
    """What one repetition costs at a load of full strength on top of holding it for its time, a part of strength.

    The table of repetitions gives the whole cost of a usual repetition; the holds' F, over its length and mean load,
    gives a part of it. So slow repetitions cost more than quick ones, but less than in proportion (sakamoto2006).
    """
    per_rep, seconds, share = (
        constant("repetition", "all", name) for name in ("rep_fatigue", "rep_seconds", "rep_mean_share")
    )
    return per_rep - constant("hold", "general", "fatigue") * seconds * share


def rest_multiplier(joint: str) -> float:
    """r, a factor: how many times faster than under load a joint's muscles recover when nothing is held (looft2020)."""
    part = "upper" if joint in UPPER else "grip" if joint == "grip" else "lower"
    return constant("rest", part, "multiplier")


@dataclass(frozen=True, slots=True, kw_only=True)
class Rates:
    """Constants by motion: F of holds and of repetitions and R in 1/s, the strike of repetitions; and r, by variant of
    the model and motion.

    The table of repetitions knows no joints, so repetitions have one F. A grip is a hold even while the body repeats.
    """

    hold_fatigue: Array
    rep_fatigue: Array
    rep_strike: Array
    recovery: Array
    multiplier: Array

    def only(self, places: Integers) -> "Rates":
        """Those of some motions, by their places (axis: motion), in that order."""
        return Rates(
            hold_fatigue=self.hold_fatigue[places],
            rep_fatigue=self.rep_fatigue[places],
            rep_strike=self.rep_strike[places],
            recovery=self.recovery[places],
            multiplier=self.multiplier[:, places],
        )


def by_person(values: Array, variants: Integers | None) -> Array:
    """Values by variant of the model (first axis) as each person's; those of the only variant as they are, which
    broadcast.
    """
    return values if len(values) == 1 or variants is None else values[variants]


def rates(motions: tuple[str, ...]) -> Rates:
    """The constants of these motions, each of a joint that `joint_of` knows (freylaw2012, looft2020)."""
    joints = [joint_of(motion) or "general" for motion in motions]
    hold = np.array([constant("hold", joint, "fatigue") for joint in joints])
    grip = np.array([joint == "grip" for joint in joints])
    return Rates(
        hold_fatigue=hold,
        rep_fatigue=np.where(grip, hold, constant("hold", "general", "fatigue")),
        rep_strike=np.where(grip, 0.0, rep_strike()),
        recovery=np.array([constant("hold", joint, "recovery") for joint in joints]),
        multiplier=np.array([[rest_multiplier(joint) for joint in joints]]),
    )
