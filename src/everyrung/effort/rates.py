"""How fast each joint's muscles tire and recover (tables/fatigue.csv): one family for holds, one for repetitions."""

from dataclasses import dataclass
from functools import cache

import numpy as np

from everyrung.effort.three_compartment import Array, Integers, Reserve, Rest, after_rest
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


@cache
def reserve() -> Reserve:
    """What holds have beyond repetitions, of every joint."""
    return Reserve(at_full=constant("hold", "all", "reserve"), power=constant("hold", "all", "reserve_power"))


def rest(case: str = "all") -> Rest:
    """What becomes of every joint's fatigue, one variant (axes: variant, part): as used ("all"), or with recovery as
    slow or as quick as it may be ("slow", "quick").
    """
    part, quick_s, slow_s = (constant("rest", case, name) for name in ("slow_share", "quick_s", "slow_s"))
    return Rest(share=np.array([[1 - part, part]]), rate=1 / np.array([[quick_s, slow_s]]))


@dataclass(frozen=True, slots=True, kw_only=True)
class Rates:
    """Constants by motion: F of holds and of repetitions and R in 1/s, the strike of repetitions. `rest` is of all
    motions, by variant of the model.

    The table of repetitions knows no joints, so repetitions have one F. A grip is a hold even while the body repeats.
    """

    hold_fatigue: Array
    rep_fatigue: Array
    rep_strike: Array
    recovery: Array
    rest: Rest

    def only(self, places: Integers) -> "Rates":
        """Those of some motions, by their places (axis: motion), in that order."""
        return Rates(
            hold_fatigue=self.hold_fatigue[places],
            rep_fatigue=self.rep_fatigue[places],
            rep_strike=self.rep_strike[places],
            recovery=self.recovery[places],
            rest=self.rest,
        )

    def after_rest(self, fatigue: Array, seconds: Array | float, variants: Integers | None = None) -> Array:
        """Fatigue (axes: person, motion, part) after `seconds` of rest, by person or alike for all; `variants` has the
        place of each person's variant of the model.
        """
        rates = by_person(self.rest.rate, variants)[:, None, :]
        return after_rest(fatigue, rates, np.reshape(seconds, (-1, 1, 1)))


def by_person(values: Array, variants: Integers | None) -> Array:
    """Values by variant of the model (first axis) as each person's; those of the only variant as they are, which
    broadcast.
    """
    return values if len(values) == 1 or variants is None else values[variants]


def rates(motions: tuple[str, ...]) -> Rates:
    """The constants of these motions, each of a joint that `joint_of` knows (freylaw2012)."""
    joints = [joint_of(motion) or "general" for motion in motions]
    hold = np.array([constant("hold", joint, "fatigue") for joint in joints])
    grip = np.array([joint == "grip" for joint in joints])
    return Rates(
        hold_fatigue=hold,
        rep_fatigue=np.where(grip, hold, constant("hold", "general", "fatigue")),
        rep_strike=np.where(grip, 0.0, rep_strike()),
        recovery=np.array([constant("hold", joint, "recovery") for joint in joints]),
        rest=rest(),
    )
