"""What is believed of people's strength, from one evening to the next.

A person is a few numbers: for each line, which is a move with all its versions, the logarithm of a factor on the
strength of people of their age, sex, size and level; the logarithm of endurance; and the day, which is another one each
time. What is believed of them is a normal distribution. Weeks widen it (tables/training.csv), answers to "how many
more could you have done?" narrow it, each by what it is worth (hackett2017), through the cubature rule
(arasaratnam2009): 2 n points a person go through the evening as the person did, and what they could have done there is
compared with what was said. No point is ever tuned. The points stay those of the start of the evening, so that what is
believed after each set needs one more column, and after the last is what a whole evening at once would give.
"""

from dataclasses import dataclass, replace

import numpy as np

from everyrung.effort.audience import Flags
from everyrung.effort.perform_set import MOST_REPS
from everyrung.effort.person_fit import answer_sds
from everyrung.effort.rates import constant
from everyrung.effort.three_compartment import Array, Integers
from everyrung.tables.strength_of_people import people_constant
from everyrung.tables.training import training_constant

HALF = 0.5  # of a repetition, so that none at all has a logarithm
ROUND_SD = 0.3  # of an answer in whole repetitions: 1 / root 12
UNKNOWN_SD = 1e3  # of the logarithm, where there is no answer
STEADY = 1e-9  # on every variance, so that no covariance loses its root to rounding


@dataclass(frozen=True, slots=True, kw_only=True)
class Belief:
    """What is believed of each person: `mean` (person, number) and `covariance` (person, number, number). The numbers
    are logarithms: the lines in their order, then endurance, then the day.
    """

    mean: Array
    covariance: Array

    @property
    def lines(self) -> int:
        """How many lines there are."""
        return int(self.mean.shape[1]) - 2

    @property
    def line_log(self) -> Array:
        """The usual strength of each person in each line (person, line), the day left out."""
        result: Array = self.mean[:, :-2]
        return result

    @property
    def line_log_sd(self) -> Array:
        """How far each of these may be off, one standard deviation (person, line)."""
        result: Array = np.sqrt(np.diagonal(self.covariance, axis1=1, axis2=2)[:, :-2])
        return result

    @property
    def endurance_log(self) -> Array:
        """The logarithm of endurance by person."""
        result: Array = self.mean[:, -2]
        return result

    @property
    def day_log(self) -> Array:
        """How this day is for each person: 0 before anything was said."""
        result: Array = self.mean[:, -1]
        return result

    def only(self, places: Integers) -> "Belief":
        """What is believed of some of them, in that order."""
        return Belief(mean=self.mean[places], covariance=self.covariance[places])

    def put(self, places: Integers, other: "Belief") -> "Belief":
        """The same with what `other` says of those at `places`."""
        mean, covariance = self.mean.copy(), self.covariance.copy()
        mean[places], covariance[places] = other.mean, other.covariance
        return Belief(mean=mean, covariance=covariance)


def first_belief(people: int, lines: int) -> Belief:
    """Of people nobody has asked yet: as people of their kind are, strong ones all over (tables/strength_people.csv).

    >>> first_belief(people=2, lines=3).line_log_sd.round(2).tolist()
    [[0.22, 0.22, 0.22], [0.22, 0.22, 0.22]]
    """
    covariance = np.zeros((lines + 2, lines + 2))
    covariance[:lines, :lines] = people_constant("scatter_log_sd") ** 2 * _among_lines(lines)
    covariance[-2, -2] = constant("people", "all", "endurance_log_sd") ** 2
    covariance[-1, -1] = training_constant("day_log_sd") ** 2
    return Belief(mean=np.zeros((people, lines + 2)), covariance=np.tile(covariance, (people, 1, 1)))


def day_alone(people: int, lines: int) -> Belief:
    """Of people whose strength and endurance are known, though not how their day is."""
    covariance = STEADY * np.eye(lines + 2)
    covariance[-1, -1] = training_constant("day_log_sd") ** 2
    return Belief(mean=np.zeros((people, lines + 2)), covariance=np.tile(covariance, (people, 1, 1)))


def _among_lines(lines: int) -> Array:
    """How strength in one line goes with that in another (line, line): what all joints share."""
    common = people_constant("general_part")
    result: Array = common + (1 - common) * np.eye(lines)
    return result


def after_weeks(belief: Belief, weeks: Array, gain_weeks: Array) -> Belief:
    """What is believed on another day, `weeks` later (person): `gain_weeks` of them with training, which adds the mean
    gain (ahtiainen2016); the rest add doubt alone. The day is unknown again.
    """
    lines = belief.lines
    mean, covariance = belief.mean.copy(), belief.covariance.copy()
    mean[:, :lines] += training_constant("gain_week_log") * gain_weeks[:, None]
    step = training_constant("drift_log_sd") ** 2 * _among_lines(lines)
    covariance[:, :lines, :lines] += weeks[:, None, None] * step
    mean[:, -1], covariance[:, -1], covariance[:, :, -1] = 0.0, 0.0, 0.0
    covariance[:, -1, -1] = training_constant("day_log_sd") ** 2
    return Belief(mean=mean, covariance=covariance)


def points(belief: Belief) -> Array:
    """The cubature points of each person (person, point, number): two a number, one to either side of the mean."""
    numbers = belief.mean.shape[1]
    root = np.linalg.cholesky(belief.covariance) * np.sqrt(numbers)
    arms = root.transpose(0, 2, 1)
    centre = belief.mean[:, None, :]
    return np.concatenate([centre + arms, centre - arms], axis=1)


def after_answers(belief: Belief, possible: Array, reps: Integers, left: Array, sure: Flags) -> Belief:
    """What is believed once people said, after `reps` repetitions, that they had so many `left` (person, answer; NaN
    where nobody asked); where `sure`, a set ended because nothing was left, which nobody misjudges.

    `possible` are the repetitions that such people as the `points` of this belief could have done (person, point,
    answer), with the part of one more: whole ones would hide which way they change.
    """
    there = np.isfinite(left)
    total = reps + np.where(there, left, 0.0)
    expected = np.clip(possible, HALF, MOST_REPS)
    off = np.where(sure[:, None], 0.0, answer_sds(np.maximum(expected - reps[:, None], 0.0)))
    sd = np.sqrt(np.mean((np.hypot(off, ROUND_SD) / expected) ** 2, axis=1))
    answer = np.log(total + HALF)
    return _by_line(belief, points(belief), np.log(expected), answer, np.where(there, sd, UNKNOWN_SD))


def _by_line(belief: Belief, every: Array, forecast: Array, answer: Array, sd: Array) -> Belief:
    """What is believed after answers, the forecast taken as straight through `every` point."""
    count = every.shape[1]
    shift, middle = every - belief.mean[:, None, :], forecast.mean(axis=1)
    spread = forecast - middle[:, None, :]
    across = np.einsum("pin,pia->pna", shift, spread) / count
    between = np.einsum("pia,pib->pab", spread, spread) / count + sd[:, :, None] ** 2 * np.eye(sd.shape[1])
    gain = np.linalg.solve(between, across.transpose(0, 2, 1)).transpose(0, 2, 1)
    mean = belief.mean + np.einsum("pna,pa->pn", gain, np.where(sd < UNKNOWN_SD, answer - middle, 0.0))
    covariance = belief.covariance - np.einsum("pna,pma->pnm", gain, across)
    covariance = (covariance + covariance.transpose(0, 2, 1)) / 2 + STEADY * np.eye(mean.shape[1])
    return replace(belief, mean=mean, covariance=covariance)
