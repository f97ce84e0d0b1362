"""What becomes of people in one cell: every offer that was tried, and the one that each person chose."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from everyrung.effort.audience import CAUTIONS, Flags
from everyrung.effort.choices import Offer, ScheduledCell
from everyrung.effort.perform_set import Outcome
from everyrung.effort.select_rung import Candidate, Piece
from everyrung.effort.three_compartment import Array


@dataclass(frozen=True, slots=True, kw_only=True)
class Attempt:
    """One offer with one load on some people (`places`): the outcome of each of its bouts, and by person `left`, in
    repetitions, after the worst of them.
    """

    offer: int
    piece: Piece | None
    places: NDArray[np.int64]
    outcomes: tuple[Outcome, ...]
    left: Array

    def at_worst(self, name: str) -> NDArray[Any]:
        """By person, a field of the outcome ('possible', 'limiting') in the bout that leaves least."""
        worst = np.stack([one.left for one in self.outcomes]).argmin(axis=0)
        values = np.stack([getattr(one, name) for one in self.outcomes])
        result: NDArray[Any] = values[worst, np.arange(len(worst))]
        return result


@dataclass(frozen=True, slots=True, kw_only=True)
class CellOutcome:
    """What became of one slot. `as_planned` has everyone on each offer with the plan's load, whatever their kit and
    limits; `attempts` what people may do; `choice` its place by person, NOTHING for hold or skip; `has_kit` by offer
    who has the kit for it, whatever they avoid.
    """

    slot: ScheduledCell
    offers: tuple[Offer, ...]
    as_planned: tuple[Attempt, ...]
    attempts: tuple[Attempt, ...]
    candidates: tuple[Candidate, ...]
    choice: NDArray[np.int64]
    has_kit: tuple[Flags, ...]

    @property
    def led_attempt(self) -> Attempt | None:
        """The led rung with the plan's load, where it could be computed."""
        return next((one for one in self.as_planned if self.offers[one.offer].kind is None), None)

    def people_by_offer(self) -> list[tuple[Offer, NDArray[np.int64]]]:
        """The offers that are done, each with the place of every person who does it."""
        return [(self.offers[one.offer], np.flatnonzero(self.choice == at)) for at, one in enumerate(self.attempts)]

    @property
    def open(self) -> Flags:
        """Who, by person, may do some offer: by kit and by what they avoid."""
        return any_of([one.may for one in self.candidates], len(self.choice))

    def exclusions(self, limits: Flags) -> Flags:
        """Who may do no offer because of what they avoid, by caution (axes: person, caution): a caution bars who would
        have an offer without it, and every one of theirs that an offer asks for bars whom no single one does.
        """
        shut = any_of(self.has_kit, len(self.choice)) & ~self.open
        alone, together = np.zeros_like(limits), np.zeros_like(limits)
        for offer, has in zip(self.offers, self.has_kit, strict=True):
            asks = np.array([caution in offer.cautions for caution in CAUTIONS])
            hit: Flags = np.logical_and(limits, asks) & has[:, None]
            together |= hit
            alone |= hit & (np.count_nonzero(hit, axis=1, keepdims=True) == 1)
        result: Flags = shut[:, None] & np.where(alone.any(axis=1, keepdims=True), alone, together)
        return result

    @property
    def finishable(self) -> Flags:
        """Who, by person, can finish something that they may do."""
        return any_of([one.may & (one.left >= 0) for one in self.candidates], len(self.choice))


def any_of(flags: Sequence[Flags], people: int) -> Flags:
    """Who, by person, has any of these flags."""
    result = np.zeros(people, dtype=bool)
    for each in flags:
        result |= each
    return result
