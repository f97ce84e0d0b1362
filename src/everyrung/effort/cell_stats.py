"""Counting what became of people at each cell, block after block: a million need no more room than a thousand."""

from collections import Counter
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from everyrung.effort.perform_set import MOST_HOLD_S, MOST_REPS
from everyrung.effort.select_rung import S_A_REP
from everyrung.effort.simulate import Attempt, CellOutcome, SimulationPlan
from everyrung.effort.words import limiter
from everyrung.terms.forecast import CellForecast, LoadAdvice, RungForecast, Share, Spread
from everyrung.terms.plan import Ref

FEWEST = 0.01  # a limiter that stops fewer is not named; chosen
Counts = NDArray[np.int64]


@dataclass(slots=True)
class OfferTally:
    """Counts of one offer. `possible` and `left` count people (axis: whole repetitions, or seconds of a hold); a second
    that is left counts as 1 / S_A_REP of a repetition.
    """

    finishing: int = 0
    possible: Counts = field(default_factory=lambda: np.zeros(int(MOST_HOLD_S) + 1, dtype=np.int64))
    left: Counts = field(default_factory=lambda: np.zeros(int(MOST_HOLD_S) + 1, dtype=np.int64))
    limiting: Counter[str] = field(default_factory=Counter)
    loads: Counter[str] = field(default_factory=Counter)


@dataclass(slots=True)
class CellTally:
    """Counts of one cell: people so far, who of them can finish some rung, who holds or skips, and by offer."""

    people: int = 0
    some_rung: int = 0
    skipping: int = 0
    offers: list[OfferTally] = field(default_factory=list)

    def add(self, step: CellOutcome, along: SimulationPlan) -> None:
        """Counts one block of people more."""
        self.people += len(step.chosen)
        self.some_rung += int(step.finishable.sum())
        self.skipping += int((step.chosen < 0).sum())
        while len(self.offers) < len(step.offers):
            self.offers.append(OfferTally())
        for tally, one in zip(self.offers, step.as_planned, strict=True):
            _count_planned(tally, one, along)
        for number, one in enumerate(step.tried):
            here = step.chosen[one.places] == number
            tally = self.offers[one.offer]
            tally.loads[_load_words(step, number)] += int(here.sum())
            tally.left += _histogram(np.maximum(one.left[here], 0.0))


def _count_planned(tally: OfferTally, one: Attempt, along: SimulationPlan) -> None:
    tally.finishing += int((one.left >= 0).sum())
    tally.possible += _histogram(one.at_worst("possible"))
    for place, count in enumerate(np.bincount(one.at_worst("limiting"), minlength=len(along.motions))):
        if count:
            tally.limiting[limiter(along.motions[place])] += int(count)


def _histogram(values: NDArray[np.float64]) -> Counts:
    whole = np.clip(values, 0, MOST_HOLD_S).astype(int)
    return np.bincount(whole, minlength=int(MOST_HOLD_S) + 1)


def _load_words(step: CellOutcome, number: int) -> str:
    one = step.tried[number]
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
    found = [float(np.searchsorted(below, max(1, part * total), side="left")) for part in (0.1, 0.5, 0.9)]
    return Spread(p10=found[0], p50=found[1], p90=found[2])


def cell_forecast(ref: Ref, tally: CellTally, step: CellOutcome, moved: dict[str, tuple[float, float]]) -> CellForecast:
    """What was counted at one cell, as shares of the people; `step` is any block's, for the names, and `moved` what
    `uncertainty.sensitivity` says of the cell, in percentage points.
    """
    rungs = []
    for offer, counts, one in zip(step.offers, tally.offers, step.as_planned, strict=True):
        hold = not offer.bouts[0].reps
        advised = sum(counts.loads.values())
        loads = sorted((each for each in counts.loads.items() if each[1]), key=lambda each: -each[1])
        named = [each for each in counts.limiting.most_common() if each[1] >= FEWEST * tally.people]
        rungs.append(
            RungForecast(
                kind=offer.kind,
                name=offer.name,
                unit="s" if hold else "reps",
                asked=one.outcomes[0].asked,
                finishing=Share(count=counts.finishing, of=tally.people),
                possible=percentiles(counts.possible) or Spread(p10=0, p50=0, p90=0),
                most=MOST_HOLD_S if hold else MOST_REPS,
                left=_scale(percentiles(counts.left), S_A_REP if hold else 1.0),
                limiting=tuple((name, Share(count=count, of=tally.people)) for name, count in named),
                advised=Share(count=advised, of=tally.people),
                loads=tuple(LoadAdvice(load=load, advised=Share(count=n, of=tally.people)) for load, n in loads),
            )
        )
    return CellForecast(
        ref=ref,
        rungs=tuple(rungs),
        some_rung=Share(count=tally.some_rung, of=tally.people),
        skipping=Share(count=tally.skipping, of=tally.people),
        left=percentiles(np.sum([each.left for each in tally.offers], axis=0)),
        moved=moved,
    )


def _scale(spread: Spread | None, by: float) -> Spread | None:
    return spread and Spread(p10=spread.p10 * by, p50=spread.p50 * by, p90=spread.p90 * by)
