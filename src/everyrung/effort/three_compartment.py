"""Fatigue of one muscle group by the three-compartment controller (3CC), in the limit of a fast controller.

Xia and Frey-Law 2008 (xia2008, doi:10.1016/j.jbiomech.2008.07.013) divide the motor units of a group into active M_A,
fatigued M_F and resting M_R, parts of 1 that add up to 1, and drive them by a controller C(t):

    dM_R/dt = -C + R M_F        dM_A/dt = C - F M_A        dM_F/dt = F M_A - R M_F

C = LD (TL - M_A) brings M_A up to the target load TL, C = LR (TL - M_A) lets it go. Here LD and LR are taken as
infinite: what is asked for is active at once, so M_A = TL and one number is left, `fatigued` = M_F:

    dM_F/dt = F TL - R M_F      while a load TL, a part of the strength at that angle, is held;
    dM_F/dt = -r R M_F          while nothing is held, with Looft's multiplier r of recovery (looft2018);
    the load is failed as soon as TL + M_F > 1, for then M_R is used up.

The functions are the closed forms of these equations. `fatigue_rate` is the paper's F and `recovery_rate` its R, both
in 1/s; times are in seconds, loads are parts of strength. They take numbers or arrays of any axes that broadcast.
docs/accuracy-audience.md says what the model is worth.

How fast each joint's muscles tire and recover (tables/fatigue.csv): one family for holds, one for repetitions.
"""

from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from numpy.typing import NDArray

from everyrung.tables.reader import read_table

Array = NDArray[np.float64]
NEVER = np.inf


def after_hold(
    fatigued: Array, load: Array, fatigue_rate: Array, recovery_rate: Array, seconds: Array | float
) -> Array:
    """M_F after holding `load` for some seconds without failing; arrays of any axes that broadcast (xia2008).

    >>> float(after_hold(np.array(0.0), np.array(0.5), np.array(0.01), np.array(0.001), 0.0))
    0.0
    """
    left = np.exp(-recovery_rate * seconds)
    spent: Array = fatigued * left + load * fatigue_rate / recovery_rate * (1 - left)
    return spent


def after_rest(fatigued: Array, recovery_rate: Array, multiplier: Array | float, seconds: Array | float) -> Array:
    """M_F, a part of 1, after resting: only where nothing at all is held. A loaded pause is no rest. Arrays of any axes
    that broadcast (looft2018).
    """
    spent: Array = fatigued * np.exp(-multiplier * recovery_rate * seconds)
    return spent


def hold_seconds(fatigued: Array, load: Array, fatigue_rate: Array, recovery_rate: Array) -> Array:
    """How long `load` can be held, s; 0 where it can't be taken up, infinite at or below R / (F + R) of strength.
    Arrays of any axes that broadcast (xia2008).

    >>> quarter = hold_seconds(np.array(0.0), np.array(0.25), np.array(0.0097), np.array(0.00091))
    >>> f"{float(quarter):.0f} s at a quarter of one's strength"
    "363 s at a quarter of one's strength"
    """
    steady = fatigue_rate * load / recovery_rate
    with np.errstate(divide="ignore", invalid="ignore"):
        until = np.log((steady - fatigued) / (steady - 1 + load)) / recovery_rate
    lasting = np.where(steady > 1 - load, until, NEVER)
    possible: Array = np.where(fatigued + load > 1, 0.0, lasting)
    return possible


@dataclass(frozen=True, slots=True, kw_only=True)
class RepMap:
    """What one repetition does to M_F, a straight line: M_F -> decay M_F + rise in all, and M_F -> decay_to M_F +
    rise_to up to its hardest point. `rise` and `rise_to` are linear in the load. The axes are those of the loads,
    without the phases.
    """

    decay: Array
    rise: Array
    decay_to: Array
    rise_to: Array


def rep_map(
    loads: Array,
    seconds: Array,
    fatigue_rate: Array,
    recovery_rate: Array,
    hardest_s: Array,
    strikes: Array | float = 0.0,
) -> RepMap:
    """A repetition whose phases (last axis) have mean `loads`, parts of strength, and lengths `seconds`; hardest
    `hardest_s` after its start, where it costs `strikes` at one blow on top of what holding its loads for its time
    does.

    >>> F, R = np.array(0.0097), np.array(0.00091)
    >>> down_and_up = rep_map(np.array([0.5, 0.3]), np.array([2.0, 2.0]), F, R, np.array(2.0), strikes=0.01)
    >>> float(reps_possible(np.array(0.0), down_and_up, peak=np.array(0.5)))
    20.0
    """
    ends = np.cumsum(seconds, axis=-1)
    total, recovers = ends[..., -1], recovery_rate[..., None]

    def rise_until(until: Array) -> Array:
        begun, ended = np.minimum(ends - seconds, until[..., None]), np.minimum(ends, until[..., None])
        kept = np.exp(-recovers * (until[..., None] - ended)) - np.exp(-recovers * (until[..., None] - begun))
        rise: Array = fatigue_rate / recovery_rate * (loads * kept).sum(axis=-1)
        return rise

    return RepMap(
        decay=np.exp(-recovery_rate * total),
        rise=rise_until(total) + strikes * np.exp(-recovery_rate * (total - hardest_s)),
        decay_to=np.exp(-recovery_rate * hardest_s),
        rise_to=rise_until(hardest_s),
    )


def reps_possible(fatigued: Array, one: RepMap, peak: Array) -> Array:
    """Repetitions until one fails (a whole number, or infinite), from M_F on, each asking `peak`, a part of strength,
    at its hardest. Arrays of any axes that broadcast.
    """
    most = (1 - peak - one.rise_to) / one.decay_to
    steady = one.rise / (1 - one.decay)
    with np.errstate(divide="ignore", invalid="ignore"):
        passed = 1 + np.floor(np.log((steady - most) / (steady - fatigued)) / np.log(one.decay))
    possible: Array = np.where(fatigued > most, 0.0, np.where(steady <= most, NEVER, passed))
    return possible


def after_reps(fatigued: Array, one: RepMap, reps: Array) -> Array:
    """M_F, a part of 1, after a number of repetitions. Arrays of any axes that broadcast."""
    steady = one.rise / (1 - one.decay)
    spent: Array = steady + (fatigued - steady) * one.decay**reps
    return spent


def after_failed_rep(fatigued: Array, one: RepMap) -> Array:
    """M_F, a part of 1, after a repetition that failed at its hardest point: an attempt tires as well. Axes as they
    broadcast.
    """
    return np.minimum(1.0, one.decay_to * fatigued + one.rise_to)


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
    """Constants by motion: F of holds and of repetitions and R in 1/s, the strike of repetitions, r.

    The table of repetitions knows no joints, so repetitions have one F. A grip is a hold even while the body repeats.
    """

    hold_fatigue: Array
    rep_fatigue: Array
    rep_strike: Array
    recovery: Array
    multiplier: Array

    def with_multiplier(self, multiplier: float) -> "Rates":
        """The same with one rest multiplier for every joint: the ends of the band."""
        return replace(self, multiplier=np.full_like(self.multiplier, multiplier))


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
        multiplier=np.array([rest_multiplier(joint) for joint in joints]),
    )
