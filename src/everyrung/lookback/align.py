"""The likeliest way through the plan, and how likely each of its steps is: a semi-Markov programme over seconds.

States and prices are in `states`, evidence is in `onsets`; a set's own length comes from the plan. The best way is
found by the Viterbi recursion, how sure each step is by the forward-backward one (Rabiner 1989, Proc IEEE 77:257;
explicit durations: Yu 2010, Artif Intell 174:215).
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from everyrung.lookback.plan_sets import PlanSet
from everyrung.lookback.states import (
    AS_PLANNED,
    EARLY,
    LATE,
    NEVER,
    ROWS,
    STRAY,
    TWICE,
    first_prices,
    last_prices,
    transitions,
)

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
LONGEST_S = 300  # of one set with its talk; chosen, because a longer halt is a pause, and then it goes on again
STRAY_S = 55.0  # a set of a move that is not in the plan; chosen, the middle of a set in the examples
NEAR_S, FAR_S = 0.12, 0.4  # spread of a set's length round the plan's, as a part of it: mostly, and at times
TALK_S = 60.0  # more talk than was planned, on average where there is any
START_S = 30.0  # seconds by which the first set begins off its time for a nat; chosen
WITHIN_S = 5  # a step counts as likely as it is to begin within this
END_S = 0.08  # nats for a second of talk after the last set; chosen, so that a minute of farewell is as a skip
LED_SURELY, ODD = 0.8, 0.05  # chances over all ways: a set is surely led; hardly any way has it there
CUT_SET = -8.0  # a last set that the recording does not hold to its end; chosen


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One set of the way, as it was led: `place` in the plan, `kind` of state, `at_s` from the recording's first
    moment, `chance` that it begins within five seconds of that (of the model, not measured).
    """

    place: int
    kind: int
    at_s: int
    chance: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """The likeliest steps in order of time. For each set of the plan, over all ways: the chance that it is led, that it
    is one half of a swap, and that it is led twice.
    """

    steps: tuple[Step, ...]
    led_chances: tuple[float, ...]
    swap_chances: tuple[float, ...]
    twice_chances: tuple[float, ...]


def likeliest_way(sets: Sequence[PlanSet], fit: Floats, within_s: int = WITHIN_S) -> Way:
    """The way of a leader through `sets`; `fit`: nats of sets, of sets once more and of strays, by seconds."""
    evidence = _evidence(fit, len(sets))
    lengths, jumps, ends = _lengths(sets, evidence.shape[0]), transitions(sets), last_prices(sets)
    starts = _starts(sets, evidence.shape[0])
    path = _best(evidence, lengths, jumps, starts, ends)
    chances = _chances(evidence, lengths, jumps, starts, ends)
    count = len(sets)
    steps = [_step(chances, *divmod(state, count), second, within_s, count) for state, second in path]
    rows = np.minimum(chances.sum(axis=0), 1.0).reshape(-1, count)
    some_time = np.minimum(rows[[AS_PLANNED, EARLY, LATE]].sum(axis=0), 1.0)
    swap = np.minimum(rows[EARLY] + rows[LATE], 1.0)
    likely = [
        _likeliest_step(chances, place, within_s, count) for place in np.flatnonzero(some_time >= LED_SURELY).tolist()
    ]
    return Way(
        steps=_with_likelier(steps, likely),
        led_chances=tuple(some_time.tolist()),
        swap_chances=tuple(swap.tolist()),
        twice_chances=tuple(rows[TWICE].tolist()),
    )


def _step(chances: Floats, kind: int, place: int, second: int, within_s: int, count: int) -> Step:
    near = chances[max(0, second - within_s) : second + within_s + 1, _alike(kind, place, count)].sum()
    return Step(place=place, kind=kind, at_s=second, chance=float(min(1.0, near)))


def _likeliest_step(chances: Floats, place: int, within_s: int, count: int) -> Step:
    """A set in the plan's order, at the seconds in which most of its chance lies."""
    own = np.convolve(chances[:, _alike(AS_PLANNED, place, count)].sum(axis=1), np.ones(2 * within_s + 1), "same")
    return _step(chances, AS_PLANNED, place, int(own.argmax()), within_s, count)


def _with_likelier(steps: Sequence[Step], likely: Sequence[Step]) -> tuple[Step, ...]:
    """The steps, and sets that all ways together hold surely led, but the likeliest single way leaves out
    or has where hardly any other has them. So it is where times are known to twenty seconds: of a set that may begin in
    any of forty each single way is unlikely, and one without it wins.
    """
    odd = {each.place for each in steps if each.kind == AS_PLANNED and each.chance < ODD}
    there = {each.place for each in steps} - odd
    better = {each.place: each for each in likely if each.place not in there}
    others = [each for each in steps if each.kind != AS_PLANNED or each.place not in better]
    return tuple(sorted([*others, *better.values()], key=lambda each: each.at_s))


def _alike(kind: int, place: int, count: int) -> list[int]:
    """States that come to the same: a set in or out of its order; a stray, whatever it stands after."""
    if kind == STRAY:
        return list(range(STRAY * count, (STRAY + 1) * count))
    return [row * count + place for row in (AS_PLANNED, EARLY, LATE, TWICE)]


def _evidence(fit: Floats, count: int) -> Floats:
    """Seconds x states."""
    once, again, stray = fit[:count], fit[count : 2 * count], fit[2 * count :]
    rows = [once, once, once, again, np.repeat(stray, count, axis=0)]
    return np.ascontiguousarray(np.concatenate(rows).T)


def _lengths(sets: Sequence[PlanSet], seconds: int) -> Floats:
    """Nats of each length in s, longest first: lengths x states. Row x is for a length of `rows - x`."""
    longest = min(LONGEST_S, seconds)
    own = np.array([each.length_ms / 1000 for each in sets])
    length = np.arange(longest, 0, -1.0)[:, None]
    density = 0.72 * _normal(length, own, NEAR_S) + 0.2 * _normal(length, own, FAR_S)
    density += 0.06 * np.where(length >= own, np.exp(-(length - own) / TALK_S) / TALK_S, 0.0)
    density += 0.02 * (length < own) / own
    nats = np.log(np.maximum(density, 1e-12))
    stray = np.log(_normal(length, np.array([STRAY_S]), FAR_S) + 1e-9)
    return np.concatenate([nats, nats, nats, nats, np.repeat(stray, len(sets), axis=1)], axis=1)


def _normal(length: Floats, middle: Floats, part: float) -> Floats:
    """Log-normal density."""
    off = np.log(length / middle) / part
    density: Floats = np.exp(-0.5 * off**2) / (length * part * np.sqrt(2 * np.pi))
    return density


def _starts(sets: Sequence[PlanSet], seconds: int) -> Floats:
    """Nats of beginning at a second in a state: the first set near its own time, a later one at once."""
    second = np.arange(seconds)[:, None]
    usual = np.zeros(ROWS * len(sets))
    usual[[0, *range(EARLY * len(sets), LATE * len(sets))]] = sets[0].at_ms / 1000
    nats: Floats = first_prices(sets) - np.abs(second - usual) / START_S
    return nats


def _best(evidence: Floats, lengths: Floats, jumps: Floats, starts: Floats, ends: Floats) -> list[tuple[int, int]]:
    """States and the seconds in which they begin."""
    seconds, states = evidence.shape
    longest = len(lengths)
    best = np.full((longest + seconds, states), NEVER)  # the value of beginning in a state; rows before time are empty
    left: Ints = np.zeros((seconds, states), dtype=np.int64)  # the second in which the state that ends now began
    came: Ints = np.full((seconds, states), -1, dtype=np.int64)
    here = np.arange(states)
    for second in range(seconds):
        through = best[second : second + longest] + lengths
        rows = through.argmax(axis=0)
        left[second] = second + rows - longest
        onward = through[rows, here][:, None] + jumps
        origin = onward.argmax(axis=0)
        value = onward[origin, here]
        begins = starts[second] >= value
        came[second] = np.where(begins, -1, origin)
        best[second + longest] = np.where(begins, starts[second], value) + evidence[second]
    finish = best[longest:] + ends - END_S * (seconds - np.arange(seconds))[:, None] + _stay(lengths, seconds)
    second, state = (int(each) for each in np.unravel_index(finish.argmax(), finish.shape))
    path = [(state, second)]
    while came[second, state] >= 0:
        origin = int(came[second, state])
        second, state = int(left[second, origin]), origin
        path.append((state, second))
    return path[::-1]


def _stay(lengths: Floats, seconds: int) -> Floats:
    """Nats of a last set that begins at a second: the best of its lengths that still fit, or it is cut off."""
    best = np.maximum.accumulate(lengths[::-1], axis=0)  # by length in s, shortest first
    left = np.minimum(seconds - np.arange(seconds), len(best)) - 1
    nats: Floats = np.maximum(best[left], CUT_SET)
    return nats


def _chances(evidence: Floats, lengths: Floats, jumps: Floats, starts: Floats, ends: Floats) -> Floats:
    """The chance of each state to begin at each second: seconds x states."""
    seconds, states = evidence.shape
    longest = len(lengths)
    ways = np.exp(np.maximum(jumps, -700))
    chance = np.exp(lengths)
    forward = np.full((seconds, states), NEVER)
    window = np.zeros((longest + seconds, states))
    scale = 0.0
    for second in range(seconds):
        inflow = (window[second : second + longest] * chance).sum(axis=0) @ ways
        row = (inflow + np.exp(starts[second] - scale)) * np.exp(evidence[second])
        window[second + longest] = row
        forward[second] = np.log(np.maximum(row, 1e-300)) + scale
        window, scale = _in_range(window, slice(second + 1, second + longest + 1), row, scale)
    after = np.log(np.maximum(np.exp(ends), 1e-300)) - END_S * (seconds - np.arange(seconds))[:, None]
    after = after + _stay(lengths, seconds)
    backward = np.full((seconds, states), NEVER)
    window = np.zeros((seconds + longest + 1, states))
    shortest_first, scale = chance[::-1], 0.0
    for second in range(seconds - 1, -1, -1):
        row = (window[second + 1 : second + longest + 1] * shortest_first).sum(axis=0) + np.exp(after[second] - scale)
        backward[second] = np.log(np.maximum(row, 1e-300)) + scale
        window[second] = ways @ (row * np.exp(evidence[second]))
        window, scale = _in_range(window, slice(second, second + longest), row, scale)
    both = forward + backward
    total = np.logaddexp.reduce((backward + evidence + starts).ravel())
    result: Floats = np.exp(np.minimum(both - total, 0.0))
    return result


def _in_range(window: Floats, part: slice, row: Floats, scale: float) -> tuple[Floats, float]:
    """Keeps what is multiplied within floating point: the part in use is scaled, its logarithm kept."""
    most = row.max()
    if most > 1e60 or 0 < most < 1e-60:
        window[part] /= most
        scale += float(np.log(most))
    return window, scale
