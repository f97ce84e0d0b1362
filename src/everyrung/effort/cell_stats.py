"""Counting what became of people at each cell, block after block: a million need no more room than a thousand."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from everyrung.effort.audience import Flags
from everyrung.effort.choices import Offer
from everyrung.effort.outcomes import CellOutcome
from everyrung.effort.perform_set import MOST_HOLD_S, MOST_REPS
from everyrung.effort.rating import part_done, rate, rating_band
from everyrung.effort.select_rung import S_A_REP
from everyrung.effort.simulate import SimulationPlan
from everyrung.effort.three_compartment import Array, Integers
from everyrung.effort.words import limiter
from everyrung.terms.enums import Side
from everyrung.terms.forecast import CellForecast, LoadAdvice, Rating, RungForecast, Share, Spread

FEWEST = 0.01  # a limiter that stops fewer is not named; chosen
ONE_SIDED = 0.9  # of those whom a limiter stops: then it is of one side; chosen
MOST = int(MOST_HOLD_S)  # whole repetitions or seconds are counted up to here
Counts = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Sums:
    """Adds people up by variant of the model, of which there are `count`: their places in `of` (axis: person), or all
    of them one. Counts have the axis variant first.
    """

    of: Integers | None
    count: int

    def people(self, flags: Flags, places: Integers | None = None) -> Counts:
        """How many have the flag (axis: person), of everyone or of those at `places`, by variant."""
        if self.of is None:
            return np.array([np.count_nonzero(flags)])
        of = self.of if places is None else self.of[places]
        return np.bincount(of[flags], minlength=self.count)

    def by_value(self, values: Array | Integers, most: int, places: Integers | None = None) -> Counts:
        """How many have each whole value from 0 to `most` (axes: variant, value), of everyone or of those at `places`;
        `values` are by person."""
        whole = np.clip(values, 0, most).astype(np.int64)
        if self.of is not None:
            whole += (most + 1) * (self.of if places is None else self.of[places])
        return np.bincount(whole, minlength=self.count * (most + 1)).reshape(self.count, most + 1)


@dataclass(slots=True)
class OfferTally:
    """Counts of one offer by variant of the model (first axis). `possible` and `left` count people by whole
    repetitions, or seconds of a hold; a second that is left counts as 1 / S_A_REP of a repetition. `limiting` is by the
    session's motions, `loads` by load.
    """

    finishing: Counts
    possible: Counts
    left: Counts
    limiting: Counts
    loads: dict[str, Counts] = field(default_factory=dict)

    @classmethod
    def none(cls, variants: int, motions: int) -> "OfferTally":
        """Nobody counted."""
        flat, long = np.zeros(variants, dtype=np.int64), np.zeros((variants, MOST + 1), dtype=np.int64)
        return cls(flat, long, long.copy(), np.zeros((variants, motions), dtype=np.int64))

    def merge(self, other: "OfferTally") -> None:
        """Adds the counts of other people; loads stay in the order in which they were met."""
        self.finishing += other.finishing
        self.possible += other.possible
        self.left += other.left
        self.limiting += other.limiting
        for load, counts in other.loads.items():
            self.loads[load] = self.loads.get(load, 0) + counts


@dataclass(slots=True)
class CellTally:
    """Counts of one cell by variant of the model: people so far, who of them can finish some rung, who holds or skips,
    and by offer.
    """

    people: Counts
    some_rung: Counts
    skipping: Counts
    offers: tuple[OfferTally, ...]

    @classmethod
    def none(cls, along: SimulationPlan, place: int) -> "CellTally":
        """Nobody counted at the slot at `place`."""
        flat = np.zeros(along.variants, dtype=np.int64)
        tallies = tuple(OfferTally.none(along.variants, len(along.motions)) for _ in along.offers[place])
        return cls(flat, flat.copy(), flat.copy(), tallies)

    def add(self, step: CellOutcome, sums: Sums) -> None:
        """Counts one block of people more."""
        self.people += sums.people(np.ones(len(step.choice), dtype=bool))
        self.some_rung += sums.people(step.finishable)
        self.skipping += sums.people(step.choice < 0)
        for tally, one in zip(self.offers, step.as_planned, strict=True):
            tally.finishing += sums.people(one.left >= 0)
            tally.possible += sums.by_value(one.at_worst("possible"), MOST)
            tally.limiting += sums.by_value(one.at_worst("limiting"), tally.limiting.shape[1] - 1)
        for number, one in enumerate(step.attempts):
            here = step.choice[one.places] == number
            places, tally, load = one.places[here], self.offers[one.offer], _load_words(step, number)
            tally.loads[load] = tally.loads.get(load, 0) + sums.people(np.ones(len(places), dtype=bool), places)
            tally.left += sums.by_value(np.maximum(one.left[here], 0.0), MOST, places)

    def merge(self, other: "CellTally") -> None:
        """Adds the counts of other people."""
        self.people += other.people
        self.some_rung += other.some_rung
        self.skipping += other.skipping
        for tally, counts in zip(self.offers, other.offers, strict=True):
            tally.merge(counts)


def _load_words(step: CellOutcome, number: int) -> str:
    one = step.attempts[number]
    if one.piece is None:
        return ""
    pieces = step.offers[one.offer].pieces
    return str(one.piece) if pieces == 1 else f"{pieces} x {one.piece}"


def percentiles(counts: Counts) -> Spread | None:
    """The tenth, fiftieth and ninetieth of a hundred of the people counted; None for nobody. `counts` has how many
    there are (axis: 0, 1, 2 ... of what is counted).

    >>> percentiles(np.bincount([4, 8, 8, 9, 12]))
    Spread(p10=4.0, p50=8.0, p90=12.0)
    """
    total = int(counts.sum())
    if not total:
        return None
    below = np.cumsum(counts)
    values = [float(np.searchsorted(below, max(1, part * total), side="left")) for part in (0.1, 0.5, 0.9)]
    return Spread(p10=values[0], p50=values[1], p90=values[2])


def cell_forecast(
    along: SimulationPlan, place: int, tally: CellTally, shifts: Mapping[str, tuple[float, float]], variant: int = 0
) -> CellForecast:
    """What was counted at the slot at `place` under one variant of the model, as shares of the people; `shifts` is what
    `uncertainty.sensitivity` says of the cell, in percentage points. Raises Invalid for ratings off the scale.
    """
    people = int(tally.people[variant])
    return CellForecast(
        ref=along.slots[place].cell.ref,
        rungs=tuple(
            _rung_forecast(along, offer, counts, people, variant)
            for offer, counts in zip(along.offers[place], tally.offers, strict=True)
        ),
        some_rung=Share(count=int(tally.some_rung[variant]), of=people),
        skipping=Share(count=int(tally.skipping[variant]), of=people),
        left=percentiles(np.sum([each.left[variant] for each in tally.offers], axis=0)),
        rating=_rating(along.offers[place], tally, variant),
        moved=shifts,
    )


def _rating(offers: Sequence[Offer], tally: CellTally, variant: int) -> Rating | None:
    """What those who take what they are advised say of the cell, from what they have left."""
    left = np.arange(MOST + 1, dtype=float)
    doses = [_repetitions(offer) for offer in offers]
    ratings = [rate(part_done(each, left)) for each in doses]
    counts = [each.left[variant] for each in tally.offers]
    return rating_band(np.concatenate(ratings), np.concatenate(counts), "set_sd") if offers else None


def _repetitions(offer: Offer) -> float:
    """How many repetitions an offer asks; of a hold, its seconds as repetitions."""
    bout = offer.bouts[0]
    return bout.reps or bout.duration_ms / 1000 / S_A_REP


def _rung_forecast(along: SimulationPlan, offer: Offer, counts: OfferTally, people: int, variant: int) -> RungForecast:
    bout, limiting = offer.bouts[0], Counter[str]()
    stops = {along.motions[at]: int(count) for at, count in enumerate(counts.limiting[variant]) if count}
    for motion, count in stops.items():
        limiting[limiter(motion)] += count
    loads = {load: int(count[variant]) for load, count in counts.loads.items() if count[variant]}
    return RungForecast(
        kind=offer.kind,
        name=offer.name,
        unit="reps" if bout.reps else "s",
        asked=float(bout.reps or bout.duration_ms / 1000),
        finishing=Share(count=int(counts.finishing[variant]), of=people),
        possible=percentiles(counts.possible[variant]) or Spread(p10=0, p50=0, p90=0),
        most=MOST_REPS if bout.reps else MOST_HOLD_S,
        left=_scale(percentiles(counts.left[variant]), 1.0 if bout.reps else S_A_REP),
        limiting=tuple(
            (name, Share(count=count, of=people)) for name, count in limiting.most_common() if count >= FEWEST * people
        ),
        limiting_side=one_sided(stops, bout.side),
        advised=Share(count=sum(loads.values()), of=people),
        loads=tuple(
            LoadAdvice(load=load, advised=Share(count=count, of=people))
            for load, count in sorted(loads.items(), key=lambda each: -each[1])
        ),
    )


def one_sided(stops: Mapping[str, int], working: Side) -> dict[str, str]:
    """Of what stops people on nearly always the same side of the body in a one-sided set, which that is; `stops` are
    counts by motion, such as 'knee_extension_left'.
    """
    if working is Side.BOTH:
        return {}
    counts: dict[str, Counter[str]] = {}
    for motion, count in stops.items():
        if motion.endswith(("_left", "_right")):
            side = "working" if motion.endswith(f"_{working}") else "other"
            counts.setdefault(limiter(motion), Counter())[side] += count
    most = {name: each.most_common(1)[0] for name, each in counts.items()}
    return {name: side for name, (side, count) in most.items() if count >= ONE_SIDED * counts[name].total()}


def _scale(spread: Spread | None, by: float) -> Spread | None:
    return spread and Spread(p10=spread.p10 * by, p50=spread.p50 * by, p90=spread.p90 * by)
