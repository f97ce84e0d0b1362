"""A heart rate laid on its session: where the session begins in it, and how it was in each round.

Between two readings the rate is taken to go straight, where they are at most twenty seconds apart and the watch was not
stopped; where the sensor had no contact there is none. No mean over a stretch of which less than half is covered.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from everyrung.lookback.heart_file import HeartFile
from everyrung.lookback.plan_sets import PlanSet
from everyrung.lookback.show import Show
from everyrung.terms.enums import SpanKind
from everyrung.terms.timeline import Timeline

Floats = NDArray[np.float64]
MOST_GAP_S = 20  # between two readings of one curve; watches that save room write each 6 to 13 s (our cases)
LEAST_COVERAGE = 0.5
LAG_S = 45.0  # the heart follows work with a time constant of about this; 30 to 60 s, from memory
REST_WORK = 0.2  # what talk and rest ask beside a set's one
NEAR_S = 20  # a beginning counts as likely as it is to lie within this
MEMORY_S = 90.0  # seconds of a curve that are worth one reading of their own, for it changes slowly; chosen
SURE = 0.8  # chance from which a beginning is taken; below it is asked for
BEFORE_S = 60  # with a rate before the session, from which a resting value is offered
RESTING_PART = 10  # percentile of what is measured before it; chosen, for the least is mostly a slip


@dataclass(frozen=True, slots=True, kw_only=True)
class Beginning:
    """When the session began: as it was given (`chance` 1), or found in the curve with the chance that it lies within
    twenty seconds (of the model, not measured).
    """

    at: datetime
    chance: float

    @property
    def is_sure(self) -> bool:
        return self.chance >= SURE


@dataclass(frozen=True, slots=True, kw_only=True)
class HeartStretch:
    """A round. `coverage` 0 to 1 of its time has a rate; `mean_bpm` and `most_bpm` None where that is less than half.
    `between` is the part of its rates that lie between two readings.
    """

    name: str
    at_ms: int
    length_ms: int
    coverage: float
    between: float
    mean_bpm: float | None
    most_bpm: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class HeartOutcome:
    """One person's curve on the session; `resting_bpm` is offered from before it. `rates` by second of the session, NaN
    where there is none. `on_medicine`: theirs limits the rate, so that it says nothing of how hard it was.
    """

    file: HeartFile
    beginning: Beginning
    stretches: tuple[HeartStretch, ...]
    resting_bpm: float | None
    rates: Floats
    on_medicine: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Rounds:
    """When each round was, ms from the session's beginning, and how long all of it took."""

    times: Mapping[str, tuple[int, int]]
    total_ms: int


def rounds_of(sets: Sequence[PlanSet], timeline: Timeline, show: Show | None = None) -> Rounds:
    """As the plan has them; with the log of a show as they were, from the first set's announcement to the last work."""
    times: dict[str, tuple[int, int]] = {}
    for place, each in enumerate(sets):
        name = each.where
        at_ms, end_ms = each.at_ms, each.at_ms + each.length_ms
        if show:
            bouts = show.rows[place].bouts
            if not bouts:
                continue
            at_ms = max(0, bouts[0].wall_ms - show.start_ms - (each.work_at_ms - each.at_ms))
            end_ms = bouts[-1].wall_end_ms - show.start_ms
        before = times.get(name, (at_ms, end_ms))
        times[name] = min(before[0], at_ms), max(before[1], end_ms)
    last_ms = max((part.wall_end_ms for part in show.stretches), default=show.start_ms) - show.start_ms if show else 0
    return Rounds(times=times, total_ms=last_ms if show else timeline.total_ms)


def lay_heart(
    file: HeartFile,
    sets: Sequence[PlanSet],
    timeline: Timeline,
    begins: datetime | None = None,
    *,
    show: Show | None = None,
    on_medicine: bool = False,
) -> HeartOutcome:
    """The curve clipped to the session. `begins`: when it began, where that is known; a `show` knows it, and when each
    round really was; else it is looked for.
    """
    first = file.readings[0].at.replace(microsecond=0)
    rates, between = _curve(file, first)
    if show and begins is None:
        begins = datetime.fromtimestamp(show.start_ms / 1000, UTC)
    beginning = Beginning(at=begins, chance=1.0) if begins else _find(rates, timeline, first)
    offset_s = round((beginning.at - first).total_seconds())
    rounds = rounds_of(sets, timeline, show)
    length_s = -(-rounds.total_ms // 1000)
    here = _clip(rates, offset_s, length_s)
    parts = _clip(between, offset_s, length_s)
    return HeartOutcome(
        file=file,
        beginning=beginning,
        stretches=tuple(_stretch(name, *times, here, parts) for name, times in rounds.times.items()),
        resting_bpm=_resting(rates[: max(0, offset_s)]),
        rates=here,
        on_medicine=on_medicine,
    )


def _curve(file: HeartFile, first: datetime) -> tuple[Floats, Floats]:
    """Rates by seconds from the first reading, NaN for none; and 1.0 where one lies between two readings."""
    seconds = [round((each.at - first).total_seconds()) for each in file.readings]
    rates, between = np.full(seconds[-1] + 1, np.nan), np.zeros(seconds[-1] + 1)
    for second, each in zip(seconds, file.readings, strict=True):
        if each.bpm is not None:
            rates[second] = each.bpm
    pairs = pairwise(zip(seconds, file.readings, strict=True))
    for (here_s, here), (there_s, there) in pairs:
        if here.bpm is None or there.bpm is None or there.after_pause or not 1 < there_s - here_s <= MOST_GAP_S:
            continue
        inner = np.arange(here_s + 1, there_s)
        rates[inner] = np.interp(inner, [here_s, there_s], [here.bpm, there.bpm])
        between[inner] = 1.0
    return rates, between


def _clip(row: Floats, offset_s: int, length_s: int) -> Floats:
    """The seconds of the session; NaN before and after what was measured."""
    result = np.full(length_s, np.nan)
    first, last = max(0, offset_s), min(len(row), offset_s + length_s)
    if last > first:
        result[first - offset_s : last - offset_s] = row[first:last]
    return result


def asks(timeline: Timeline) -> Floats:
    """How the heart is asked, second by second, with its lag: 0 to 1."""
    length_s = -(-timeline.total_ms // 1000)
    work = np.full(length_s, REST_WORK)
    for span in timeline.spans:
        if span.kind is SpanKind.WORK:
            work[span.at_ms // 1000 : span.end_ms // 1000] = 1.0
        elif span.kind is SpanKind.ANNOUNCE:
            work[span.at_ms // 1000 : span.end_ms // 1000] = 0.0
    keep = np.exp(-1 / LAG_S)
    level, result = 0.0, np.empty(length_s)
    for second, value in enumerate(work):
        level = keep * level + (1 - keep) * value
        result[second] = level
    return result


def _find(rates: Floats, timeline: Timeline, first: datetime) -> Beginning:
    """The beginning at which the curve goes most like the session, and how likely it is among all.

    For each beginning the nats are those of a straight line from what is asked to the rate, with one reading of its own
    each `MEMORY_S`.
    """
    shape = asks(timeline)
    offsets = np.arange(-len(shape) // 4, max(1, len(rates) - len(shape) // 2))
    nats = np.array([_likeness(shape, _clip(rates, int(offset), len(shape))) for offset in offsets])
    weight = np.exp(nats - nats.max())
    weight /= weight.sum()
    best = int(nats.argmax())
    near = weight[max(0, best - NEAR_S) : best + NEAR_S + 1].sum()
    return Beginning(at=first + timedelta(seconds=int(offsets[best])), chance=float(near))


def _likeness(shape: Floats, rates: Floats) -> float:
    there = ~np.isnan(rates)
    if there.sum() < len(shape) * LEAST_COVERAGE:
        return -1e6
    x, y = shape[there], rates[there]
    x, y = x - x.mean(), y - y.mean()
    spread = np.sqrt((x @ x) * (y @ y))
    same = max(0.0, float(x @ y / spread)) if spread > 0 else 0.0
    return float(-0.5 * there.sum() / MEMORY_S * np.log(max(1e-6, 1 - same**2)))


def _resting(before: Floats) -> float | None:
    there = before[~np.isnan(before)]
    return float(np.percentile(there, RESTING_PART)) if len(there) >= BEFORE_S else None


def _stretch(name: str, at_ms: int, end_ms: int, rates: Floats, between: Floats) -> HeartStretch:
    part = slice(at_ms // 1000, -(-end_ms // 1000))
    here = rates[part]
    there = ~np.isnan(here)
    coverage = float(there.mean()) if len(here) else 0.0
    enough = coverage >= LEAST_COVERAGE
    return HeartStretch(
        name=name,
        at_ms=at_ms,
        length_ms=end_ms - at_ms,
        coverage=coverage,
        between=float(between[part][there].mean()) if there.any() else 0.0,
        mean_bpm=float(here[there].mean()) if enough else None,
        most_bpm=float(here[there].max()) if enough else None,
    )
