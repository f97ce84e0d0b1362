"""What is believed of people while their evening goes on: each answer counts from the next set on.

The day is what no history can tell: it moves a set of twelve by two repetitions (grgic2020). The first sets show it,
and with it what is left in every set that follows, of other moves too.
"""

from dataclasses import dataclass, field

import numpy as np

from everyrung.effort.audience import Flags
from everyrung.effort.perform_set import PersonParameters
from everyrung.effort.three_compartment import Array, Integers
from everyrung.weeks.crowd import with_strength
from everyrung.weeks.lines import Lines
from everyrung.weeks.over_time import Belief, after_answers, points


@dataclass(slots=True, kw_only=True)
class Tonight:
    """People as they are taken to be (`who`), with what was believed of them before (`before`), which is a factor on
    that, and `belief`, with all that they have said since.
    """

    lines: Lines
    who: PersonParameters
    before: Belief
    belief: Belief = field(init=False)
    _points: Array = field(init=False)
    _copies: PersonParameters = field(init=False)
    _fatigue: Array = field(init=False)
    _possible: list[Array] = field(default_factory=list)
    _reps: list[Integers] = field(default_factory=list)
    _left: list[Array] = field(default_factory=list)
    _over: list[Flags] = field(default_factory=list)

    def __post_init__(self) -> None:
        every = points(self.before)
        people, count, numbers = every.shape
        self.belief = self.before
        self._points = every.reshape(people * count, numbers)
        self._copies = self.who.only(np.repeat(np.arange(people), count))
        self._fatigue = self.lines.fresh(people * count)

    def rest(self, seconds: float) -> None:
        """Nobody does anything for so long."""
        self._fatigue = self.lines.rates.after_rest(self._fatigue, seconds)

    def view(self, line: int, doubt: Array, *, at_first: bool) -> PersonParameters:
        """The people as they are believed to be in one line, now or `at_first`, before a word was said: weaker by so
        many standard deviations of `doubt` (person).
        """
        belief = self.before if at_first else self.belief
        here = belief.line_log[:, line] + belief.day_log - doubt * belief.line_log_sd[:, line]
        return with_strength(self.who, here, belief.endurance_log)

    def hear(self, line: int, entry: Integers, reps: Integers, left: Array, over: Flags) -> None:
        """Everyone did so many `reps` of their `entry` of a line, and said how many more were `left` (NaN: nothing);
        where it was `over`, the set ended because nothing was left.
        """
        count = len(self._points) // len(reps)
        here = with_strength(self._copies, self._points[:, line] + self._points[:, -1], self._points[:, -2])
        tries = np.maximum(np.repeat(reps, count), 1)
        trial = self.lines.try_set(here, self._fatigue, line, np.repeat(entry, count), tries)
        self._fatigue = trial.after
        self._possible.append(trial.possible.reshape(len(reps), count))
        self._reps.append(reps)
        self._left.append(left)
        self._over.append(over)
        self.belief = after_answers(
            self.before,
            np.stack(self._possible, axis=-1),
            np.stack(self._reps, axis=-1),
            np.stack(self._left, axis=-1),
            np.stack(self._over, axis=-1),
        )
