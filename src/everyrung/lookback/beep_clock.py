"""The plan's clock on a recording: stretches with one drift, and a refusal wherever the sound does not prove them."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from everyrung.lookback.beep_filters import KINDS, Hearing
from everyrung.lookback.beep_line import BIN_MS, LEAST, BeepLine, Placing, Values, best_values, place
from everyrung.lookback.beep_onsets import fitted_runs, placed_beeps
from everyrung.runsheet.beeps import COUNT_INS

DECOYS = 4
MARGIN, TIMES = 40.0, 1.5  # nats by which, and how many times as well as, the plan must fit than the best decoy; chosen
# on the sessions of docs/accuracy/recording.py with seeds from 1000 on
STRETCH = 20.0  # nats that a stretch must have of its own; chosen, as the price of a jump is 14
TWIN = 4.0  # nats by which it must be these sets and no others; chosen: one tune differs at two places, 6 nats
CLAIM = 1.0  # nats that a beep at the end of a run must have to belong to it; chosen: chance in speech has less
MOVED = 12  # beeps by which the end of a run is moved at most; chosen, as a group has hardly more
TUNE = 2.0  # nats by which the count-ins must have their own pitches and not others; chosen, less than one clear count
COUNTS = np.array([KINDS.index(kind) for kind in COUNT_INS])
ROUND_MS = 3_000  # chosen: whoever jumped within this was out of step no longer than a count-in


@dataclass(frozen=True, slots=True, kw_only=True)
class ClockStretch:
    """The session's clock ran from `plan_ms` to `plan_end_ms`, in the recording from `at_ms` to `end_ms`. `is_sure`: it
    is no other part of the session. `first`, `last`: beeps of the line; `audible` of them were found near their place.
    """

    first: int
    last: int
    line_ms: int
    line_end_ms: int
    plan_ms: int
    plan_end_ms: int
    at_ms: float
    end_ms: float
    audible: int
    is_sure: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordingClock:
    """What the beeps say; without stretches nothing, and `refusal` says why. `drift` of the recording's clock against
    the session's: 80e-6 is 0.29 s in an hour.
    """

    stretches: tuple[ClockStretch, ...]
    drift: float
    value: float
    decoy_value: float
    refusal: str

    def at(self, line_ms: float) -> float | None:
        """When a moment of the line's clock is in the recording, ms; None where that is not known."""
        for each in self.stretches:
            if each.is_sure and each.line_ms <= line_ms <= each.line_end_ms:
                return each.at_ms + (1 + self.drift) * (line_ms - each.line_ms)
        return None


def recording_clock(hearing: Hearing, line: BeepLine, whole: BeepLine | None) -> RecordingClock:
    """Lays a line of beeps on a recording. `whole` is the plan's own line: what a stretch might be instead; None where
    a log says which it is.
    """
    values = best_values(hearing.scores)
    if values.shape[1] < 2:
        return _refuse(0.0, 0.0, "The recording is too short.")
    best = place(values, line)
    nothing = place(values[:, :1], line).value  # all of it absent
    decoy = max(place(values, each).value for each in decoys(line)) - nothing
    value = best.value - nothing
    if value < MARGIN + decoy or value < TIMES * decoy:
        return _refuse(
            value, decoy, "No beeps of this session are heard in it, or too few to tell them from other sound."
        )
    return _fit(hearing, values, line, whole, best, (value, decoy))


def _refuse(value: float, decoy: float, why: str) -> RecordingClock:
    return RecordingClock(stretches=(), drift=0.0, value=value, decoy_value=decoy, refusal=why)


def decoys(line: BeepLine) -> Iterator[BeepLine]:
    """Lines of the same beeps on the same grid of seconds that nobody led: in another order, backwards, other kinds."""
    random = np.random.default_rng(1)
    total = int(line.at_ms[-1] + line.at_ms[0])
    for number in range(DECOYS):
        kinds = line.kinds
        at_ms = line.at_ms
        if number % 4 == 0:
            at_ms, kinds = total - at_ms[::-1], kinds[::-1]
        if number % 2:
            swap = _derangement(random)
            kinds = swap[kinds]
        if number % 4 != 0:
            at_ms, kinds = _shuffle(at_ms, kinds, line.groups(), random)
        yield BeepLine(at_ms=at_ms, plan_ms=at_ms, kinds=kinds)


def _derangement(random: np.random.Generator) -> NDArray[np.int64]:
    """Each kind another one."""
    order = random.permutation(len(KINDS))
    result = np.empty(len(KINDS), np.int64)
    result[order] = np.roll(order, 1)
    return result


def _shuffle(
    at_ms: NDArray[np.int64], kinds: NDArray[np.int64], groups: list[slice], random: np.random.Generator
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Groups in another order, each with the silence after it."""
    starts = [int(at_ms[group.start]) for group in groups]
    gaps = [*np.diff(starts), GROUP_END_MS]
    now = starts[0]
    times, signs = [], []
    for place_ in random.permutation(len(groups)):
        group = groups[place_]
        times.append(at_ms[group] - at_ms[group.start] + now)
        signs.append(kinds[group])
        now += int(gaps[place_])
    return np.concatenate(times), np.concatenate(signs)


GROUP_END_MS = 10_000  # after the last group; chosen, as long as a group


def _fit(
    hearing: Hearing, values: Values, line: BeepLine, whole: BeepLine | None, best: Placing, proof: tuple[float, float]
) -> RecordingClock:
    groups = line.groups()
    runs = _runs(best, line, groups)
    onsets, drift, offsets = fitted_runs(hearing, line, [placed_beeps(line, groups, best, run) for run in runs])
    stretches = []
    ends = _ends(values, line, [(groups[run[0]].start, groups[run[-1]].stop) for run in runs], offsets, drift)
    for (first, stop), offset, points in zip(ends, offsets, onsets, strict=True):
        last = stop - 1
        at_ms, end_ms = (offset + (1 + drift) * float(line.at_ms[beep]) for beep in (first, last))
        audible = int(np.sum(np.abs(points.top_ms - offset - (1 + drift) * points.line_ms) <= 10.0))
        is_sure = _is_proved(values, line, whole, slice(first, last + 1), offset, drift)
        stretches.append(
            ClockStretch(
                first=first, last=last, line_ms=int(line.at_ms[first]), line_end_ms=int(line.at_ms[last]),
                plan_ms=int(line.plan_ms[first]), plan_end_ms=int(line.plan_ms[last]), at_ms=at_ms, end_ms=end_ms,
                audible=audible, is_sure=is_sure,
            )
        )  # fmt: skip
    refusal = "" if any(each.is_sure for each in stretches) else "Beeps are heard, but not which sets they belong to."
    return RecordingClock(
        stretches=tuple(stretches), drift=drift, value=proof[0], decoy_value=proof[1], refusal=refusal
    )


def _ends(
    values: Values, line: BeepLine, runs: list[tuple[int, int]], offsets: list[float], drift: float
) -> list[tuple[int, int]]:
    """Runs of beeps, from and to: between two of them each beep is given to the one that it fits, or to none."""
    result = list(runs)
    for number in range(len(runs) - 1):
        first, stop = (
            max(result[number][0] + 1, runs[number][1] - MOVED),
            min(runs[number + 1][1] - 1, runs[number + 1][0] + MOVED),
        )
        beeps = slice(first, stop)
        before, after = (
            np.append(0.0, np.cumsum(_single(values, line.at_ms[beeps], line.kinds[beeps], offset, drift) - CLAIM))
            for offset in offsets[number : number + 2]
        )
        after = after[-1] - after  # what the later run has from each beep on
        upto = np.maximum.accumulate(before)
        split = int(np.argmax(upto + after))
        result[number] = (result[number][0], first + int(np.argmax(before[: split + 1])))
        result[number + 1] = (first + split, result[number + 1][1])
    return result


def _runs(best: Placing, line: BeepLine, groups: list[slice]) -> list[list[int]]:
    """Groups that follow one another in step."""
    runs: list[list[int]] = []
    for number, start in enumerate(best.starts_ms):
        if start is None:
            continue
        before = runs[-1][-1] if runs else None
        if before is not None:
            was = best.starts_ms[before]
            assert was is not None
            off = (start - was) - int(line.at_ms[groups[number].start] - line.at_ms[groups[before].start])
            if abs(off) <= 2 * BIN_MS * (number - before):
                runs[-1].append(number)
                continue
        runs.append([number])
    return runs


def _is_proved(
    values: Values, line: BeepLine, whole: BeepLine | None, beeps: slice, offset: float, drift: float
) -> bool:
    """Whether a stretch has enough of its own, and no other part of the plan fits the same sound as well."""
    own = _value(values, line.at_ms[beeps], line.kinds[beeps], offset, drift)
    if own < STRETCH or _tune(values, line, beeps, offset, drift) < TUNE:
        return False
    if whole is None:
        return True
    low, high = line.plan_ms[beeps.start], line.plan_ms[beeps.stop - 1]
    best = -np.inf
    starts = np.unique(whole.plan_ms - low)
    for later in starts[np.abs(starts) > ROUND_MS]:
        part = (whole.plan_ms >= low + later) & (whole.plan_ms <= high + later)
        if part.sum() < 0.5 * (beeps.stop - beeps.start):
            continue
        at_ms = whole.plan_ms[part] - low - later + line.at_ms[beeps.start]
        best = max(best, _value(values, at_ms, whole.kinds[part], offset, drift))
    return bool(own >= best + TWIN)


def _tune(values: Values, line: BeepLine, beeps: slice, offset: float, drift: float) -> float:
    """By how much the count-ins of a stretch have the pitches of its sets; TUNE where it has none."""
    at_ms, kinds = line.at_ms[beeps], line.kinds[beeps]
    is_count = np.isin(kinds, COUNTS)
    if not is_count.any():
        return TUNE
    each = np.stack([_single(values, at_ms, np.full(len(kinds), kind), offset, drift) for kind in COUNTS])
    mine = COUNTS[:, np.newaxis] == kinds
    own, other = (np.where(mask, each, LEAST).max(axis=0)[is_count] for mask in (mine, ~mine))
    return float((own - other).sum())


def _value(values: Values, at_ms: NDArray[np.int64], kinds: NDArray[np.int64], offset: float, drift: float) -> float:
    """Nats of some beeps on a line; a bin to either side is as good, for beeps lie between bins too."""
    return float(_single(values, at_ms, kinds, offset, drift).sum())


def _single(
    values: Values, at_ms: NDArray[np.int64], kinds: NDArray[np.int64], offset: float, drift: float
) -> NDArray[np.float32]:
    """Nats of each of them."""
    bins = ((offset + (1 + drift) * at_ms) // BIN_MS).astype(int)
    inside = (bins > 0) & (bins < values.shape[1] - 1)
    result = np.full(len(bins), np.float32(LEAST))
    near = [values[kinds[inside], bins[inside] + off] for off in (-1, 0, 1)]
    result[inside] = np.max(near, axis=0)
    return result
