"""Fatigue of one muscle group by the three-compartment controller (3CC), in the limit of a fast controller.

Xia and Frey-Law 2008 (xia2008, doi:10.1016/j.jbiomech.2008.07.013) divide the motor units of a group into active M_A,
fatigued M_F and resting M_R, parts of 1 that add up to 1, and drive them by a controller C(t):

    dM_R/dt = -C + R M_F        dM_A/dt = C - F M_A        dM_F/dt = F M_A - R M_F

C = LD (TL - M_A) brings M_A up to the target load TL, C = LR (TL - M_A) lets it go. Here LD and LR are taken as
infinite: what is asked for is active at once, so M_A = TL and M_F is left. That has two parts, a quick and a
slow one, for sets after a failed one are not alike and minutes of rest do not mend all (silva2014, richmond2004):

    M_F = quick + slow          `fatigue`; in arrays the parts are the last axis, in that order (PARTS);
    dM_F/dt = F TL - R M_F      while a load TL, a part of the strength at that angle, is held; the slow part gets a
                                fixed share of the rise F TL, and both decay with R, so that work knows M_F alone;
    d quick/dt = -quick / Tq, d slow/dt = -slow / Ts      while nothing is held;
    a repetition is failed as soon as TL + M_F > 1, for then M_R is used up; a hold a little later, for something is
    left in whoever holds nearly all: TL + M_F > 1 + g TL^k.

Each part obeys the equation of work with its share of F, so what is written for M_F holds for a part as well. The
functions are the closed forms of these equations. `fatigue_rate` is the paper's F and `recovery_rate` its R, both
in 1/s; times are in seconds, loads are parts of strength. They take numbers or arrays of any axes that broadcast.
docs/accuracy-audience.md says what the model is worth.
"""

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from everyrung.body.machine_code import machine_code

Array = NDArray[np.float64]
Integers = NDArray[np.int64]
NEVER = np.inf
PARTS = 2  # of fatigue: quick, slow


def after_hold(fatigue: Array, load: Array, fatigue_rate: Array, recovery_rate: Array, seconds: Array | float) -> Array:
    """M_F after holding `load` for some seconds without failing; arrays of any axes that broadcast (xia2008).

    >>> float(after_hold(np.array(0.0), np.array(0.5), np.array(0.01), np.array(0.001), 0.0))
    0.0
    """
    left = np.exp(-recovery_rate * seconds)
    result: Array = fatigue * left + load * fatigue_rate / recovery_rate * (1 - left)
    return result


def after_rest(fatigue: Array, rates: Array, seconds: Array | float) -> Array:
    """The parts of M_F after resting: only where nothing at all is held. A loaded pause is no rest. `rates` are by
    part, 1/s. Arrays of any axes that broadcast, the parts last.
    """
    result: Array = fatigue * np.exp(-rates * seconds)
    return result


@dataclass(frozen=True, slots=True, kw_only=True)
class Reserve:
    """What a hold has beyond repetitions: `at_full` of strength at full load, less by the power `power` of the load.

    >>> round(Reserve(at_full=0.24, power=4.6).of(np.array(0.9)).item(), 3)
    0.148
    """

    at_full: float
    power: float

    def of(self, load: Array) -> Array:
        """By load, both parts of strength; arrays of any axes."""
        result: Array = self.at_full * load**self.power
        return result


NO_RESERVE = Reserve(at_full=0.0, power=1.0)


def hold_seconds(
    fatigue: Array, load: Array, fatigue_rate: Array, recovery_rate: Array, reserve: Reserve = NO_RESERVE
) -> Array:
    """How long `load` can be held from M_F on, s; 0 where it can't be taken up, infinite where fatigue settles before
    it fails: at or below R / (F + R) of strength, but for the reserve. Arrays of any axes that broadcast (xia2008).

    >>> quarter = hold_seconds(np.array(0.0), np.array(0.25), np.array(0.0097), np.array(0.00091))
    >>> f"{float(quarter):.0f} s at a quarter of one's strength"
    "363 s at a quarter of one's strength"
    """
    steady, most = fatigue_rate * load / recovery_rate, 1 - load + reserve.of(load)
    with np.errstate(divide="ignore", invalid="ignore"):
        until = np.log((steady - fatigue) / (steady - most)) / recovery_rate
    lasting = np.where(steady > most, until, NEVER)
    possible: Array = np.where((fatigue > most) | (load > 1), 0.0, lasting)
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
        start, end = np.minimum(ends - seconds, until[..., None]), np.minimum(ends, until[..., None])
        weight = np.exp(-recovers * (until[..., None] - end)) - np.exp(-recovers * (until[..., None] - start))
        rise: Array = fatigue_rate / recovery_rate * (loads * weight).sum(axis=-1)
        return rise

    return RepMap(
        decay=np.exp(-recovery_rate * total),
        rise=rise_until(total) + strikes * np.exp(-recovery_rate * (total - hardest_s)),
        decay_to=np.exp(-recovery_rate * hardest_s),
        rise_to=rise_until(hardest_s),
    )


def reps_possible(fatigue: Array, one: RepMap, peak: Array) -> Array:
    """Repetitions until one fails (a whole number, or infinite), from M_F on, each asking `peak`, a part of strength,
    at its hardest. Arrays of any axes that broadcast.
    """
    most, steady = (1 - peak - one.rise_to) / one.decay_to, one.rise / (1 - one.decay)
    each = np.broadcast_arrays(fatigue, steady, most, np.log(one.decay))
    return _each_reps(*(np.ravel(one) for one in each)).reshape(each[0].shape)


@machine_code
def _each_reps(fatigue: Array, steady: Array, most: Array, fade: Array) -> Array:
    result = np.empty(fatigue.shape)
    for place in range(len(fatigue)):
        result[place] = np.floor(_reps(fatigue[place], steady[place], most[place], fade[place]))
    return result


@machine_code
def _reps(fatigue: float, steady: float, most: float, fade: float) -> float:
    """How often a step that fades by the logarithm `fade` towards `steady` is begun with no more than `most`; with the
    part of the next one that would still go.
    """
    if steady <= most:
        return NEVER if fatigue <= most else 0.0
    return max(0.0, 1.0 + math.log((steady - most) / (steady - fatigue)) / fade) if steady > fatigue else 0.0


def after_reps(fatigue: Array, one: RepMap, reps: Array) -> Array:
    """M_F, a part of 1, after a number of repetitions. Arrays of any axes that broadcast."""
    steady = one.rise / (1 - one.decay)
    result: Array = steady + (fatigue - steady) * one.decay**reps
    return result


def after_failed_rep(fatigue: Array, one: RepMap) -> Array:
    """M_F, a part of 1, after a repetition that failed at its hardest point: an attempt tires as well. Axes as they
    broadcast.
    """
    return np.minimum(1.0, one.decay_to * fatigue + one.rise_to)


class Cycle(NamedTuple):
    """What a cycle of repetitions, one to each hardest point, does as in RepMap, at usual strength and endurance.

    `decay` (axes: variant of the model, motion) and `rise` (variant, load, body, motion) are of all of it; up to each
    of its points `decay_to` (point, variant, motion) and `rise_to` (point, variant, load, body, motion); and `peak`
    (point, load, body, motion), a part of strength.
    """

    decay: Array
    rise: Array
    decay_to: Array
    rise_to: Array
    peak: Array


class Crowd(NamedTuple):
    """People at a set: parts of each load (axes: person, load) and body (person, body), factors on strength (person,
    motion) and endurance (person), and each one's variant of the model (person).
    """

    parts: Array
    weights: Array
    strength: Array
    endurance: Array
    variant: Integers


class Times(NamedTuple):
    """How many repetitions are asked, and how long, in s, a repetition and the whole set take."""

    dose: int
    rep_s: float
    duration_s: float


class SetEnd(NamedTuple):
    """What became of a set, by person: how many were `possible`, which motion stops them first, fatigue at the end
    (person, motion, part) and the greatest part of strength asked (person, motion); and `exactly` as many, with the
    part of the next repetition that would still go.
    """

    possible: Array
    limiting: Integers
    after: Array
    peak: Array
    exactly: Array


class Rest(NamedTuple):
    """What work adds and rest takes (axes: variant of the model, part): each part's `share` of the rise, adding up to
    1, and its `rate` while nothing is held, 1/s.
    """

    share: Array
    rate: Array


@machine_code
def do_reps(
    fatigue: Array, crowd: Crowd, cycle: Cycle, working: Integers, times: Times, rest: Rest, most: int
) -> SetEnd:
    """Everyone does as many repetitions as are asked or possible (up to `most` are counted), starting at `fatigue`
    (axes: person, motion, part), and rests for what is left of the time; one that fails tires and takes its time as
    well. `working` are the places of the cycle's motions among all.
    """
    points, motions = cycle.peak.shape[0], len(working)
    possible, limiting = np.empty(len(fatigue)), np.empty(len(fatigue), dtype=np.int64)
    exactly = np.empty(len(fatigue))
    after, peaks = np.empty_like(fatigue), np.zeros(fatigue.shape[:2])
    _rest_others(after, fatigue, crowd.variant, working, np.exp(-rest.rate * times.duration_s))
    parts_left = _part_left(cycle.decay, points, most)
    fade, gain, longer = np.log(cycle.decay), 1.0 / (1.0 - cycle.decay), 1.0 / cycle.decay_to
    rests, asks = _rests(rest.rate, times), _side_by_side(cycle)
    ask, total = np.empty((1 + 2 * points, motions)), np.empty(motions)
    steady, rise_to, peak = ask[0], ask[1 : 1 + points], ask[1 + points :]
    for person in range(len(fatigue)):
        of, worst, first, part_more = crowd.variant[person], most, 0, 0.0
        _ask(ask, asks, crowd, working, person, gain[of])
        for motion in range(motions):
            total[motion] = fatigue[person, working[motion], 0] + fatigue[person, working[motion], 1]
        for point in range(points):
            before = _cycles(worst, point, points)
            for motion in range(motions):
                m, to = total[motion], steady[motion]
                limit = (1.0 - peak[point, motion] - rise_to[point, motion]) * longer[point, of, motion]
                if before >= 0 and (m > limit or to + (m - to) * parts_left[of, before, motion] > limit):
                    exact = _reps(m, to, limit, fade[of, motion])
                    reps = math.floor(exact) * points + point
                    if reps < worst:
                        worst, first, part_more = int(reps), motion, exact - math.floor(exact)
                        before = _cycles(worst, point, points)
        possible[person], limiting[person], exactly[person] = worst, working[first], worst + part_more
        count = min(worst, times.dose)
        for motion in range(motions):  # as after_reps, after_failed_rep and after_rest, part by part
            place, left = working[motion], parts_left[of, count, motion]
            rise = steady[motion] * (1.0 - left)
            if worst < times.dose:
                left, rise = _with_failure(left, rise, cycle.decay_to[0, of, motion], rise_to[0, motion], total[motion])
            for part in range(PARTS):
                ends = fatigue[person, place, part] * left + rise * rest.share[of, part]
                after[person, place, part] = ends * rests[of, count, part]
            peaks[person, place] = peak[0, motion]
    return SetEnd(possible, limiting, after, peaks, exactly)


@machine_code
def _rest_others(after: Array, fatigue: Array, variant: Integers, working: Integers, left: Array) -> None:
    """Puts into `after` (axes: person, motion, part) what is left of the fatigue of all motions that don't work; `left`
    is by variant and part.
    """
    others = [place for place in range(fatigue.shape[1]) if not np.any(working == place)]
    for person in range(len(fatigue)):
        for place in others:
            for part in range(PARTS):
                after[person, place, part] = fatigue[person, place, part] * left[variant[person], part]


@machine_code
def _with_failure(left: float, rise: float, decay_to: float, rise_to: float, total: float) -> tuple[float, float]:
    """What is left of the fatigue `total` before a set, and what the set added, once a further repetition has failed
    at its hardest point; no more than 1 together.
    """
    left, rise = left * decay_to, rise * decay_to + rise_to
    over = max(1.0, left * total + rise)
    return left / over, rise / over


@machine_code
def _cycles(reps: int, point: int, points: int) -> int:
    """How many repetitions are behind in the last cycle in which `point` can fail before `reps` are done."""
    return ((reps - point + points - 1) // points - 1) * points


@machine_code
def _side_by_side(cycle: Cycle) -> Array:
    """What a cycle asks in one array (variant, load, body, motions of the rise, of each rise_to, of each peak)."""
    points, variants, loads, bodies, motions = cycle.rise_to.shape
    result = np.empty((variants, loads, bodies, (1 + 2 * points) * motions))
    for of in range(variants):
        result[of, :, :, :motions] = cycle.rise[of]
        for point in range(points):
            first, second = (1 + point) * motions, (1 + points + point) * motions
            result[of, :, :, first : first + motions] = cycle.rise_to[point, of]
            result[of, :, :, second : second + motions] = cycle.peak[point]
    return result


@machine_code
def _part_left(decay: Array, points: int, most: int) -> Array:
    """Which part of a distance from the steady state is left after 0, 1 ... `most` repetitions (axes: variant,
    repetitions, motion).
    """
    result = np.empty((decay.shape[0], most + 1, decay.shape[1]))
    result[:, 0], once = 1.0, decay ** (1.0 / points)
    for reps in range(1, most + 1):
        result[:, reps] = result[:, reps - 1] * once
    return result


@machine_code
def _rests(rate: Array, times: Times) -> Array:
    """What is left of fatigue at the end of the set's time where so many repetitions were done (axes: variant,
    repetitions, part); `rate` is by variant and part.
    """
    result = np.empty((rate.shape[0], times.dose + 1, rate.shape[1]))
    for reps in range(times.dose + 1):
        busy = reps if reps == times.dose else reps + 1  # one that fails takes its time as well
        result[:, reps] = np.exp(-rate * max(times.duration_s - busy * times.rep_s, 0.0))
    return result


@machine_code
def _ask(ask: Array, asks: Array, crowd: Crowd, working: Integers, person: int, gain: Array) -> None:
    """What a cycle asks of one person, put into `ask`: by motion the state it leads to, then the rise to each point,
    then the part of strength at each; `asks` as it comes side by side, `gain` is 1 / (1 - decay) by motion.
    """
    points, flat, of = len(ask) // 2, ask.reshape(ask.size), crowd.variant[person]
    flat[:] = 0.0
    for load in range(asks.shape[1]):
        for body in range(asks.shape[2]):
            part = crowd.parts[person, load] * crowd.weights[person, body]
            if part != 0.0:  # most are not of this person
                each = asks[of, load, body]
                for place in range(len(flat)):
                    flat[place] += part * each[place]
    for motion in range(ask.shape[1]):
        weaker = 1.0 / crowd.strength[person, working[motion]]
        scale = weaker / crowd.endurance[person]
        ask[0, motion] = max(ask[0, motion], 0.0) * scale * gain[motion]
        for point in range(1, 1 + points):
            ask[point, motion] = max(ask[point, motion], 0.0) * scale
            ask[points + point, motion] = max(ask[points + point, motion], 0.0) * weaker
