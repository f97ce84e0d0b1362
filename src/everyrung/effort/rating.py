"""How hard sets and a whole session will feel: what people say from 0, nothing at all, to 10, the most there is.

People rate a set by the part of their possible repetitions that they did, not by its load (testa2012); here by a
straight line in that part, fitted once to half of the studies of docs/accuracy/rating_studies.py, which also shows its
error. A session is rated as its sets are on the average (egan2006). This is not the scale of repetitions left
(zourdos2016, effort/words.py): even sessions of sets to failure are rated 6 to 9 (pritchett2009).
"""

import math
from dataclasses import dataclass

import numpy as np

from everyrung.effort.outcomes import CellOutcome
from everyrung.effort.rates import constant
from everyrung.effort.three_compartment import Array, Integers
from everyrung.terms.forecast import Rating

EIGHTY = 1.2816  # standard deviations either side that hold four of five
STEP = 0.1  # of counting ratings; chosen, far below what anyone can tell
MOST = 10.0


def part_done(dose: Array | float, left: Array) -> Array:
    """The part of the repetitions possible that the `dose` ones are, with `left` beyond them; 1 where the set can't be
    finished. Arrays of any axes that broadcast; of holds, seconds for both.

    >>> part_done(8.0, np.array([8.0, 0.0, -3.0])).tolist()
    [0.5, 1.0, 1.0]
    """
    part: Array = dose / (dose + np.maximum(left, 0.0))
    return part


def rate(part: Array, line: tuple[float, float] | None = None) -> Array:
    """What is said of sets that are this `part` of all that is possible, 0 to 10; `line` has the ratings of nothing
    done and of all of it, in place of the table's. Arrays of any axes.
    """
    low, high = line or (constant("rating", "all", "nothing_done"), constant("rating", "all", "all_done"))
    rating: Array = low + (high - low) * part
    return rating


def rating_band(ratings: Array, weights: Integers, sd: str) -> Rating | None:
    """Where four of five answers lie: how the simulated people differ (`ratings`, with how many have each in `weights`;
    axis of both: rating), and how people differ who did the same (`sd`: "set_sd" or "session_sd"), with the error of
    the line. None for nobody. Raises Invalid for ratings off the scale.
    """
    total, order = weights.sum(), np.argsort(ratings)
    if not total:
        return None
    places = np.searchsorted(np.cumsum(weights[order]), total * np.array([0.1, 0.5, 0.9]), side="left")
    low, middle, high = ratings[order][places].tolist()
    beside = EIGHTY * math.hypot(constant("rating", "all", sd), constant("rating", "all", "line_error"))
    return Rating(
        middle=middle,
        low=max(0.0, middle - math.hypot(middle - low, beside)),
        high=min(MOST, middle + math.hypot(high - middle, beside)),
    )


@dataclass(slots=True)
class SessionRatings:
    """By person the ratings of their sets so far, added up, and how many sets."""

    total: Array
    sets: Array

    @classmethod
    def none(cls, people: int) -> "SessionRatings":
        """Before the first set, by person."""
        return cls(np.zeros(people), np.zeros(people))

    def add(self, step: CellOutcome) -> None:
        """Adds one set, as everyone chose; who holds or skips has none."""
        for number, one in enumerate(step.attempts):
            here = step.choice[one.places] == number
            places, dose = one.places[here], step.candidates[number].dose
            self.total[places] += rate(part_done(dose, one.left[here]))
            self.sets[places] += 1

    def counts(self) -> Integers:
        """How many people give the session each rating, from 0 to MOST by STEP; who did no set gives none."""
        did = self.sets > 0
        whole = np.rint(self.total[did] / self.sets[did] / STEP).astype(np.int64)
        return np.bincount(whole, minlength=round(MOST / STEP) + 1)
