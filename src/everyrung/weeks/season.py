"""Proof by simulation: people of known strength go through weeks of evenings by one policy or another.

They answer as people do (hackett2017), stay away at times, get stronger as people do (ahtiainen2016), and are on no two
days alike (grgic2020). What a policy knows of them is what they said; only `KNOWN` knows their strength, though not
how their day is.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from everyrung.effort.three_compartment import Array, Integers
from everyrung.tables.training import training_constant
from everyrung.weeks.crowd import DAYS, Crowd, with_strength
from everyrung.weeks.lines import Lines
from everyrung.weeks.night import Evening, Memory, Night, Policy, first_memory
from everyrung.weeks.over_time import Belief, after_weeks, day_alone, first_belief
from everyrung.weeks.tonight import Tonight


@dataclass(frozen=True, slots=True, kw_only=True)
class Calendar:
    """How long it goes on, on how many evenings a week, and to what part of them people come."""

    weeks: int = 12
    evenings: int = 2
    attendance: float = 0.85

    @property
    def days(self) -> list[float]:
        """The evenings, in weeks from the first."""
        return [week + place / self.evenings for week in range(self.weeks) for place in range(self.evenings)]


@dataclass(slots=True, kw_only=True)
class Season:
    """A crowd on its way by one policy; `belief` is what that has come to believe of it."""

    lines: Lines
    policy: Policy
    calendar: Calendar
    crowd: Crowd
    belief: Belief
    memory: Memory
    rng: np.random.Generator
    weeks_of_training: Array

    def evenings(self) -> Iterator[Evening]:
        """One after the other; each changes what is believed and remembered."""
        before = 0.0
        for week in self.calendar.days:
            there = np.flatnonzero(self.rng.random(len(self.crowd)) < self.calendar.attendance)
            came = np.isfinite(self.memory.week)
            since = np.full(len(self.crowd), week - before)
            self.belief = after_weeks(self.belief, since, np.where(came, since, 0.0))
            night = self._night(there, week)
            one = night.evening()
            self.belief = self.belief.put(there, night.tonight.belief)
            self.weeks_of_training[there] += 1 / self.calendar.evenings
            self.memory.week[there], before = week, week
            yield one

    def _night(self, who: Integers, week: float) -> Night:
        day = self.rng.normal(0, training_constant("day_log_sd"), len(self.crowd))[who]
        today = with_strength(self.crowd.truth.only(who), self.crowd.gain_log[who] * self.weeks_of_training[who])
        is_known = self.policy is Policy.KNOWN
        return Night(
            lines=self.lines,
            policy=self.policy,
            memory=self.memory,
            tonight=Tonight(
                lines=self.lines,
                who=today if is_known else self.crowd.usual.only(who),
                before=day_alone(len(who), len(self.lines.lines)) if is_known else self.belief.only(who),
            ),
            truth=with_strength(today, day),
            who=who,
            week=week,
            rng=self.rng,
        )


def season(lines: Lines, crowd: Crowd, policy: Policy, calendar: Calendar, seed: int, block: int = 0) -> Season:
    """A season that has not begun; days, absences and answers are the same for the same seed and block of people."""
    people, count = len(crowd), len(lines.lines)
    return Season(
        lines=lines,
        policy=policy,
        calendar=calendar,
        crowd=crowd,
        belief=first_belief(people, count),
        memory=first_memory(people, count),
        rng=np.random.default_rng([seed, block, DAYS]),
        weeks_of_training=np.zeros(people),
    )
