"""The fatigue of one muscle group as one number m: the part of its strength that is spent, 0 to 1.

The three-compartment controller of Xia and Frey-Law 2008 in the limit of a fast controller: what is asked for is active
at once, so dm/dt = F u - R m while a load u (a part of strength at that angle) is held, dm/dt = -r R m while nothing
is, and a load is failed as soon as u + m > 1. Everything here is closed form and takes numbers or arrays of any axes
that broadcast; times in seconds, F and R in 1/s. docs/accuracy-audience.md has what it is worth.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
NEVER = np.inf


def after_hold(m: Array, load: Array, fatigue: Array, recovery: Array, seconds: Array | float) -> Array:
    """Fatigue after holding `load` for some seconds without failing."""
    left = np.exp(-recovery * seconds)
    found: Array = m * left + load * fatigue / recovery * (1 - left)
    return found


def after_rest(m: Array, recovery: Array, multiplier: Array | float, seconds: Array | float) -> Array:
    """Fatigue after resting: only where nothing at all is held. A loaded pause is no rest."""
    found: Array = m * np.exp(-multiplier * recovery * seconds)
    return found


def hold_seconds(m: Array, load: Array, fatigue: Array, recovery: Array) -> Array:
    """How long `load` can be held; 0 where it can't be taken up, infinite at or below R / (F + R) of strength."""
    steady = fatigue * load / recovery
    with np.errstate(divide="ignore", invalid="ignore"):
        until = np.log((steady - m) / (steady - 1 + load)) / recovery
    found = np.where(steady > 1 - load, until, NEVER)
    possible: Array = np.where(m + load > 1, 0.0, found)
    return possible


@dataclass(frozen=True, slots=True, kw_only=True)
class RepMap:
    """What one repetition does to m: m -> decay m + rise in all, and m -> decay_to m + rise_to up to its hardest point.

    `rise` and `rise_to` are linear in the load.
    """

    decay: Array
    rise: Array
    decay_to: Array
    rise_to: Array


def rep_map(
    loads: Array, seconds: Array, fatigue: Array, recovery: Array, hardest_s: Array, strikes: Array | float = 0.0
) -> RepMap:
    """A repetition whose phases (last axis) have mean `loads` and lengths `seconds`; hardest `hardest_s` after its
    start, where it costs `strikes` at one blow on top of what holding its loads for its time does.
    """
    ends = np.cumsum(seconds, axis=-1)
    total, recovers = ends[..., -1], recovery[..., None]

    def rise_until(until: Array) -> Array:
        begun, ended = np.minimum(ends - seconds, until[..., None]), np.minimum(ends, until[..., None])
        kept = np.exp(-recovers * (until[..., None] - ended)) - np.exp(-recovers * (until[..., None] - begun))
        found: Array = fatigue / recovery * (loads * kept).sum(axis=-1)
        return found

    return RepMap(
        decay=np.exp(-recovery * total),
        rise=rise_until(total) + strikes * np.exp(-recovery * (total - hardest_s)),
        decay_to=np.exp(-recovery * hardest_s),
        rise_to=rise_until(hardest_s),
    )


def reps_possible(m: Array, one: RepMap, peak: Array) -> Array:
    """Repetitions until one fails (a whole number, or infinite), starting at m, each asking `peak` at its hardest."""
    most = (1 - peak - one.rise_to) / one.decay_to
    steady = one.rise / (1 - one.decay)
    with np.errstate(divide="ignore", invalid="ignore"):
        passed = 1 + np.floor(np.log((steady - most) / (steady - m)) / np.log(one.decay))
    possible: Array = np.where(m > most, 0.0, np.where(steady <= most, NEVER, passed))
    return possible


def after_reps(m: Array, one: RepMap, reps: Array) -> Array:
    """Fatigue after so many repetitions."""
    steady = one.rise / (1 - one.decay)
    found: Array = steady + (m - steady) * one.decay**reps
    return found


def after_failed_rep(m: Array, one: RepMap) -> Array:
    """Fatigue after a repetition that failed at its hardest point: an attempt tires as well."""
    return np.minimum(1.0, one.decay_to * m + one.rise_to)
