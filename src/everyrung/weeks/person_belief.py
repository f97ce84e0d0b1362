"""What is believed of one person in one cell of a plan, from every evening they answered for.

The cell's forecast is there for the person as weak, as usual and as strong as half of such people are; between and
beyond, repetitions follow the logarithm of strength on a broken line. Along it, what is believed goes from evening to
evening as in over_time: an evening's answers move it, and how that day was is not taken for strength.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from everyrung.effort.known_people import COPIES
from everyrung.effort.outcomes import CellOutcome
from everyrung.effort.three_compartment import Array
from everyrung.tables.strength_of_people import people_constant
from everyrung.terms.person import Person
from everyrung.weeks.next_step import STEP_WEEKS
from everyrung.weeks.over_time import HALF, Belief, after_answers, after_weeks, first_belief, points

DAYS_A_WEEK = 7


@dataclass(frozen=True, slots=True, kw_only=True)
class SetAnswer:
    """A set of an evening: the candidate of the cell that it was, repetitions done, and how many were left."""

    on: date
    candidate: int
    reps: int
    left: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """Logarithms of whole repetitions, and a half, by candidate (axes: candidate, copy) at logarithms of strength
    (copy): half of one more would still go, on average.
    """

    strength_log: Array
    reps_log: Array

    def at(self, strength_log: Array, candidate: int) -> Array:
        """Whole repetitions possible with so much strength (any axes); a straight line beyond the ends."""
        x, y = self.strength_log, self.reps_log[candidate]
        left, right = (np.diff(y)[at] / np.diff(x)[at] for at in (0, -1))
        inside = np.interp(strength_log, x, y)
        beyond = left * np.minimum(strength_log - x[0], 0) + right * np.maximum(strength_log - x[-1], 0)
        result: Array = np.maximum(np.exp(inside + beyond) - HALF, 0.0)
        return result


def curve_of(outcome: CellOutcome, place: int, one: Person) -> Curve:
    """The cell's forecast for the person at `place`, by how strong they may be."""
    rows = slice(len(COPIES) * place, len(COPIES) * (place + 1))
    possible = np.array([np.maximum(each.left[rows] + each.dose, 0.0) for each in outcome.candidates])
    return Curve(strength_log=np.array(COPIES) * _scatter(one), reps_log=np.log(possible + HALF))


def _scatter(one: Person) -> float:
    return one.strength.log_sd if one.strength else people_constant("scatter_log_sd")


def possible_now(curve: Curve, one: Person, answers: Sequence[SetAnswer], today: date) -> Array:
    """Repetitions possible by candidate, as is believed after all answers, on a day that is as most."""
    belief, before = _first(one), None
    for on in sorted({each.on for each in answers}):
        belief = _later(belief, before, on)
        belief = _hear(belief, curve, [each for each in answers if each.on == on])
        before = on
    strength_log = _later(belief, before, today).line_log[0, 0]
    return np.array([float(curve.at(strength_log, at)) for at in range(len(curve.reps_log))])


def _first(one: Person) -> Belief:
    belief = first_belief(people=1, lines=1)
    belief.covariance[0, 0, 0] = _scatter(one) ** 2
    return belief


def _later(belief: Belief, before: date | None, on: date) -> Belief:
    """On another day; weeks with training add the usual gain, longer absences doubt alone."""
    weeks = np.array([(on - before).days / DAYS_A_WEEK if before else 0.0])
    return after_weeks(belief, weeks, np.where(weeks < STEP_WEEKS, weeks, 0.0))


def _hear(belief: Belief, curve: Curve, evening: Sequence[SetAnswer]) -> Belief:
    every = points(belief)
    strength_log = every[..., 0] + every[..., -1]
    reps = np.array([[each.reps for each in evening]])
    return after_answers(
        belief,
        np.stack([curve.at(strength_log, each.candidate) + HALF for each in evening], axis=-1),
        reps,
        np.array([[each.left for each in evening]]),
        np.zeros_like(reps, dtype=bool),
    )
