"""When beeps began, to a fraction of a millisecond: their onsets, one drift for all of them, and an offset a run."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from everyrung.lookback.beep_filters import KINDS, STEP_MS, Hearing, Scores
from everyrung.lookback.beep_line import BIN_MS, LEAST, MOST, USUAL, BeepLine, Placing
from everyrung.lookback.beep_phases import phase_drift
from everyrung.publish.audio.sound import TONES

NEAR_MS = 40  # from where the programme has a beep to where its onset is looked for
CLOSE_MS = 24  # the same, from where a first fit has it; chosen, as an echo may still be so late
ECHO_MS = 120  # by which what is heard may be late as a whole; chosen: later echoes of a room are softer
NEARLY = 0.6  # of the nats where it is heard best; chosen
DIP = 0.9  # of an earlier place, down to which it must be worse between both; chosen
PEAK = 4  # steps to either side of which a place is the best; chosen
FLANK_MS = 50  # before that, where the rise to it may begin; chosen, as a tick is 40 ms long
DRIFT_MOST = 500e-6  # two quartz clocks differ by less than 0.01 %; chosen at five times that
SCALES_MS = (30.0, 15.0, 8.0, 5.0, 3.0, 3.0, 3.0)  # the last as the core of onsets in speech spreads (measured)
SHARPNESS = np.array([100 / TONES[kind].duration_ms for kind in KINDS])  # a shorter tone says better when it began
DOWN = 1.0  # nats below its top at which the flank of a tone is timed; chosen
# A tone that is laid on itself t late has (1 - t / length) squared of its energy: so far before its top the flank is.
FLANK = np.array([TONES[kind].duration_ms * (1 - np.exp(-DOWN / 2)) for kind in KINDS])
SHORT_MS = 120  # tones up to this long tell of an echo; chosen: longer ones spread too far
LEAST_BEEPS = 8  # of one kind, to say when that kind began; chosen

Onsets = NDArray[np.float64]
Places = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class RunOnsets:
    """Of the beeps of a run that stand out, a row each: its time on the line, that of its top in the recording, that of
    its top and its flank (all ms), how sharp it is, and its kind.
    """

    rows: Onsets

    @property
    def line_ms(self) -> Onsets:
        return self.rows[:, 0]

    @property
    def top_ms(self) -> Onsets:
        return self.rows[:, 1]

    @property
    def mean_ms(self) -> Onsets:
        return self.rows[:, 2]


def placed_beeps(line: BeepLine, groups: list[slice], best: Placing, run: list[int]) -> tuple[Places, Onsets]:
    """The beeps of a run, as places on the line, and about when the programme has them, ms."""
    parts = [(groups[number], best.starts_ms[number]) for number in run]
    beeps = np.concatenate([np.arange(each.start, each.stop) for each, _ in parts])
    lates = [np.full(each.stop - each.start, (start or 0) - line.at_ms[each.start]) for each, start in parts]
    return beeps, np.concatenate(lates) + line.at_ms[beeps] + BIN_MS / 2


def run_onsets(scores: Scores, line: BeepLine, beeps: Places, near_ms: Onsets, within_ms: int) -> RunOnsets:
    """The onsets of these beeps, each so near to where it is thought."""
    rows = []
    for beep, near in zip(beeps, near_ms, strict=True):
        kind = int(line.kinds[beep])
        onset = _onset(scores[kind], int(near), kind, within_ms)
        if onset is not None:
            rows.append((line.at_ms[beep], *onset, SHARPNESS[kind], kind))
    return RunOnsets(np.array(rows, np.float64).reshape(-1, 5))


def earlier_ms(scores: Scores, line: BeepLine, beeps: Places, near_ms: Onsets) -> float:
    """How much earlier a run is heard nearly as well, 0 or less, ms: an echo may be louder than what it repeats."""
    is_short = np.array([TONES[kind].duration_ms <= SHORT_MS for kind in KINDS])[line.kinds[beeps]]
    kinds = line.kinds[beeps][is_short]
    at = np.rint(near_ms[is_short] / STEP_MS).astype(int)
    totals = np.zeros(ECHO_MS // STEP_MS + PEAK)
    for place in range(len(totals)):
        steps = np.clip(at + place - ECHO_MS // STEP_MS, 0, scores.shape[1] - 1)
        totals[place] = np.clip(scores[kinds, steps].astype(np.float32) - USUAL, LEAST, MOST).sum()
    best = len(totals) - 1 - int(np.argmax(totals[::-1]))
    for place in range(PEAK, best):
        is_top = totals[place] == totals[place - PEAK : place + PEAK + 1].max()
        is_apart = totals[place : best + 1].min() < DIP * totals[place]  # not the flank of the same sound
        if totals[place] >= NEARLY * totals[best] > 0 and is_top and is_apart:
            return float(min(0, place * STEP_MS - ECHO_MS))
    return 0.0


def _onset(row: NDArray[np.float16], near_ms: int, kind: int, within_ms: int) -> tuple[float, float] | None:
    """Of the top and of top and flank, ms; None where nothing stands out."""
    first, low, high = (max(0, (near_ms + off) // STEP_MS) for off in (-within_ms - FLANK_MS, -within_ms, within_ms))
    piece = row[first:high].astype(np.float64)
    if high - low < 3 or len(piece) - (low - first) < 3:
        return None
    peak = low - first + int(np.argmax(piece[low - first :]))
    if piece[peak] <= USUAL:
        return None
    top_ms = (first + peak + _bend(piece, peak)) * STEP_MS
    under = np.flatnonzero(piece[:peak] <= piece[peak] - DOWN)
    if not len(under):
        return top_ms, top_ms
    at = int(under[-1])
    part = (piece[peak] - DOWN - piece[at]) / (piece[at + 1] - piece[at])
    return top_ms, ((first + at + part) * STEP_MS + FLANK[kind] + top_ms) / 2


def _bend(piece: Onsets, peak: int) -> float:
    """Where between the steps a parabola through three of them has its top."""
    if not 0 < peak < len(piece) - 1:
        return 0.0
    left, middle, right = piece[peak - 1 : peak + 2]
    curve = left - 2 * middle + right
    return float(0.5 * (left - right) / curve) if curve < 0 else 0.0


def fitted_runs(
    hearing: Hearing, line: BeepLine, runs: list[tuple[Places, Onsets]]
) -> tuple[list[RunOnsets], float, list[float]]:
    """Onsets, drift and offsets: first from where the programme has the beeps, then from where that fit has them; the
    drift by phases wherever they tell it.
    """
    scores = hearing.scores
    drift, offsets = fitted_lines([run_onsets(scores, line, beeps, near, NEAR_MS) for beeps, near in runs])
    onsets = []
    for (beeps, _), offset in zip(runs, offsets, strict=True):
        near: Onsets = offset + (1 + drift) * line.at_ms[beeps].astype(np.float64)
        near += earlier_ms(scores, line, beeps, near)
        onsets.append(run_onsets(scores, line, beeps, near, CLOSE_MS))
    drift, offsets = fitted_lines(onsets)
    by_phase = phase_drift(hearing, line, [beeps for beeps, _ in runs], offsets, drift)
    return onsets, *((drift, offsets) if by_phase is None else fitted_lines(onsets, by_phase))


def fitted_lines(runs: list[RunOnsets], drift: float | None = None) -> tuple[float, list[float]]:
    """One drift, and one offset a run, ms; a drift that is given stays.

    The drift is the mean of what tops say and what tops and flanks together say: music and speech pull the first more,
    an echo of the beep before the second. The offsets are those of the tops, and then of the second earliest kind of
    beep: an echo makes a tone later, never earlier, and not every pitch alike, while one kind alone may lie under a
    chord.
    """
    lines_ms, tops_ms = [each.line_ms for each in runs], [each.top_ms for each in runs]
    if drift is None:
        drift = sum(_fit(lines_ms, each, runs, None)[0] for each in (tops_ms, [run.mean_ms for run in runs])) / 2
    drift, offsets = _fit(lines_ms, tops_ms, runs, drift)
    first_ms = _first_arrival(runs, drift, offsets)
    return drift, [offset + first_ms for offset in offsets]


def _fit(
    lines_ms: list[Onsets], found_ms: list[Onsets], runs: list[RunOnsets], drift: float | None
) -> tuple[float, list[float]]:
    """Least squares, weighted anew so that what lies off counts less (Cauchy); a drift that is given stays."""
    offsets = [
        float(np.median(times - line)) if len(line) else 0.0 for line, times in zip(lines_ms, found_ms, strict=True)
    ]
    slope = drift or 0.0
    for scale_ms in SCALES_MS:
        above = below = 0.0
        means = []
        for line, times, run, offset in zip(lines_ms, found_ms, runs, offsets, strict=True):
            if not len(line):
                means.append((0.0, 0.0))
                continue
            off = times - offset - (1 + slope) * line
            weight = run.rows[:, 3] / (1 + (off / scale_ms) ** 2)
            weight[np.abs(off) > 4 * scale_ms + 20] = 0.0
            total = max(float(weight.sum()), 1e-9)
            x, y = float(weight @ line / total), float(weight @ times / total)
            above += float(weight @ ((line - x) * (times - line - y + x)))
            below += float(weight @ (line - x) ** 2)
            means.append((x, y))
        if drift is None and below > 0:
            slope = float(np.clip(above / below, -DRIFT_MOST, DRIFT_MOST))
        offsets = [y - (1 + slope) * x for x, y in means]
    return slope, offsets


def _first_arrival(runs: list[RunOnsets], drift: float, offsets: list[float]) -> float:
    """How much the second earliest of the short kinds lies off all of them together, ms."""
    off = np.concatenate(
        [each.top_ms - offset - (1 + drift) * each.line_ms for each, offset in zip(runs, offsets, strict=True)]
    )
    kinds = np.concatenate([each.rows[:, 4] for each in runs])
    centres = []
    for kind, name in enumerate(KINDS):
        mine = off[(kinds == kind) & (np.abs(off) < SCALES_MS[0])]
        if TONES[name].duration_ms <= SHORT_MS and len(mine) >= LEAST_BEEPS:
            centres.append(_centre(mine))
    return sorted(centres)[1] if len(centres) > 1 else 0.0


def _centre(values: Onsets) -> float:
    """Where most of them lie."""
    centre = float(np.median(values))
    for _ in SCALES_MS:
        weight = 1 / (1 + ((values - centre) / SCALES_MS[-1]) ** 2)
        centre = float(weight @ values / weight.sum())
    return centre
