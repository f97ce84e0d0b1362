"""Proof by simulation: people of known strength go through weeks of evenings by one policy or another.

They answer as people do (hackett2017), stay away at times, get stronger as people do (ahtiainen2016), and are on no two
days alike (grgic2020). What a policy knows of them is what they said; only `ORACLE` knows their strength, though not
how their day is.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from enum import StrEnum

import numpy as np

from everyrung.effort.audience import Flags
from everyrung.effort.known_people import QUARTILE
from everyrung.effort.perform_set import PersonParameters
from everyrung.effort.select_rung import NOTHING
from everyrung.effort.three_compartment import Array, Integers
from everyrung.tables.training import training_constant
from everyrung.weeks.crowd import Crowd, answers, with_strength
from everyrung.weeks.lines import Lines
from everyrung.weeks.next_step import (
    EASY_LEFT,
    Dose,
    Menu,
    Record,
    Why,
    after_evening,
    more_reps,
    next_entry,
    next_piece_up,
    set_reps,
)
from everyrung.weeks.over_time import Belief, after_answers, after_weeks, first_belief

SETS, REST_S, BETWEEN_S = 3, 90.0, 120.0  # an evening's, by line; chosen, as classes do
PLAIN_REPS = 10  # of the policies that do not choose repetitions
FIVE = 1.05
DOSE = Dose(low=8, high=12, target_left=3)  # 8 to 12 (ratamess2009); the middle of 2 to 4 left


class Policy(StrEnum):
    """How what comes next is chosen."""

    FIXED = "the first choice for good, 10 repetitions"
    FIVE_A_WEEK = "5 % more a week, 10 repetitions"
    DOUBLE = "plain double progression, 8 to 12"
    OURS = "ours"
    ORACLE = "ours, strength known"

    @property
    def ours(self) -> bool:
        """Whether next_step decides."""
        return self in (Policy.OURS, Policy.ORACLE)


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Evening:
    """What happened to those who came (`who`, places of people), by person, line and set: the entry of the line, the
    repetitions asked (`dose`) and done (`reps`), how many more they could have done (`left`) and what they said
    (`answer`). `why` is by line and person.
    """

    week: float
    who: Integers
    entry: Integers
    dose: Integers
    reps: Integers
    left: Array
    answer: Array
    why: tuple[tuple[Why, ...], ...]

    @property
    def failure(self) -> Flags:
        """Which sets ended early."""
        result: Flags = self.reps < self.dose
        return result


@dataclass(slots=True, kw_only=True)
class _Memory:
    """What a policy remembers of each person and line (person, line), and when people were there last (weeks)."""

    last: Integers
    first: Integers
    merit: Integers
    below: Integers
    reps: Integers
    week: Array


@dataclass(slots=True, kw_only=True)
class Season:
    """A crowd on its way by one policy; `belief` is what that has come to believe of it."""

    lines: Lines
    policy: Policy
    calendar: Calendar
    crowd: Crowd
    belief: Belief
    memory: _Memory
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
            one = _Night(season=self, who=there, week=week).evening()
            if self.policy is not Policy.ORACLE:
                self._learn(one)
            self.weeks_of_training[there] += 1 / self.calendar.evenings
            self.memory.week[there], before = week, week
            yield one

    def _learn(self, one: Evening) -> None:
        """What was said this evening moves what is believed."""

        def possible(points: Array) -> Array:
            people, count, numbers = points.shape
            flat, rows = points.reshape(people * count, numbers), np.repeat(np.arange(people), count)
            who, fatigue = self.crowd.usual.only(one.who[rows]), self.lines.fresh(len(rows))
            result = np.empty((len(rows), len(self.lines.lines), SETS))
            for line, number in np.ndindex(result.shape[1:]):
                fatigue = self.lines.rates.after_rest(fatigue, rest_s(line, number))
                here = with_strength(who, flat[:, line] + flat[:, -1], flat[:, -2])
                entry, reps = one.entry[rows, line, number], np.maximum(one.reps[rows, line, number], 1)
                trial = self.lines.try_set(here, fatigue, line, entry, reps)
                result[:, line, number], fatigue = trial.possible, trial.after
            return result.reshape(people, count, -1)

        count = len(one.who)
        reps, answer, over = one.reps.reshape(count, -1), one.answer.reshape(count, -1), one.failure.reshape(count, -1)
        theirs = after_answers(self.belief.only(one.who), possible, reps, answer, over)
        self.belief = self.belief.put(one.who, theirs)


def rest_s(line: int, number: int) -> float:
    """The rest before a set, s: none before the first of all."""
    return REST_S if number else BETWEEN_S if line else 0.0


def season(lines: Lines, crowd: Crowd, policy: Policy, calendar: Calendar, seed: int) -> Season:
    """A season that has not begun; days, absences and answers are the same for the same seed."""
    shape = (len(crowd), len(lines.lines))
    return Season(
        lines=lines,
        policy=policy,
        calendar=calendar,
        crowd=crowd,
        belief=first_belief(*shape),
        memory=_Memory(
            last=np.full(shape, NOTHING),
            first=np.full(shape, NOTHING),
            merit=np.zeros(shape, dtype=np.int64),
            below=np.zeros(shape, dtype=np.int64),
            reps=np.full(shape, DOSE.low),
            week=np.full(len(crowd), np.nan),
        ),
        rng=np.random.default_rng([seed, 2]),
        weeks_of_training=np.zeros(len(crowd)),
    )


@dataclass(slots=True, kw_only=True)
class _Night:
    """One evening under way: fatigue as it is and as it is forecast, and what has happened so far."""

    season: Season
    who: Integers
    week: float
    truth: PersonParameters = field(init=False)
    fatigue: Array = field(init=False)
    forecast: Array = field(init=False)
    sets: dict[str, Array] = field(init=False)
    why: list[tuple[Why, ...]] = field(default_factory=list)

    def __post_init__(self) -> None:
        season, who = self.season, self.who
        day = season.rng.normal(0, training_constant("day_log_sd"), len(season.crowd))[who]
        stronger = season.crowd.gain_log[who] * season.weeks_of_training[who]
        self.truth = with_strength(season.crowd.truth.only(who), stronger + day)
        self.fatigue = self.forecast = season.lines.fresh(len(who))
        shape = (len(who), len(season.lines.lines), SETS)
        self.sets = {name: np.zeros(shape) for name in ("entry", "dose", "reps", "left", "answer")}

    def evening(self) -> Evening:
        """The whole of it."""
        for line in range(len(self.season.lines.lines)):
            self._line(line)
        whole = {name: self.sets[name].astype(np.int64) for name in ("entry", "dose", "reps")}
        return Evening(
            week=self.week,
            who=self.who,
            left=self.sets["left"],
            answer=self.sets["answer"],
            why=tuple(self.why),
            **whole,
        )

    def _line(self, line: int) -> None:
        """All sets of a line, each chosen after what was said of the one before."""
        self._rest(rest_s(line, 0))
        view = self._view(line)
        menu = self._menu(line, view)
        entry, why = self._choose(line, menu)
        self.why.append(tuple(why))
        moves_up, more = np.zeros(len(entry), dtype=bool), np.zeros(len(entry))
        for number in range(SETS):
            if number:
                self._rest(REST_S)
                reply = self.sets["answer"][:, line, number - 1]
                more = more / 2 + more_reps(reply)
                if self.season.policy.ours:
                    up = next_piece_up(menu, entry)
                    go = ~moves_up & (reply >= EASY_LEFT) & (menu.possible[np.arange(len(up)), up] >= DOSE.least)
                    entry, moves_up, more = np.where(go, up, entry), moves_up | go, np.where(go, 0.0, more)
            self._set(line, number, entry, view, more)
        self._remember(line, entry)

    def _rest(self, seconds: float) -> None:
        after = self.season.lines.rates.after_rest
        self.fatigue, self.forecast = after(self.fatigue, seconds), after(self.forecast, seconds)

    def _view(self, line: int) -> PersonParameters:
        """The people as the policy takes them to be: on their first evening as the weak half of such people are."""
        season, who = self.season, self.who
        if season.policy is Policy.ORACLE:
            gain_log = season.crowd.gain_log[who] * season.weeks_of_training[who]
            return with_strength(season.crowd.truth.only(who), gain_log)
        belief = season.belief.only(who)
        doubt = np.where(np.isfinite(season.memory.week[who]), 0.0, QUARTILE) * belief.line_log_sd[:, line]
        return with_strength(season.crowd.usual.only(who), belief.line_log[:, line] - doubt, belief.endurance_log)

    def _menu(self, line: int, view: PersonParameters) -> Menu:
        here, people = self.season.lines.lines[line], len(self.who)
        trials = [
            self.season.lines.try_set(view, self.forecast, line, np.full(people, at), np.full(people, PLAIN_REPS))
            for at in range(len(here.rung))
        ]
        return Menu(
            rung=here.rung,
            load_kg=here.load_kg,
            may=np.ones((people, len(here.rung)), dtype=bool),
            possible=np.stack([trial.possible for trial in trials], axis=1),
            peak=np.stack([trial.peak for trial in trials], axis=1),
        )

    def _choose(self, line: int, menu: Menu) -> tuple[Integers, list[Why]]:
        memory, who, policy = self.season.memory, self.who, self.season.policy
        record = Record(
            last=memory.last[who, line],
            merit=memory.merit[who, line],
            below=memory.below[who, line],
            away_weeks=np.nan_to_num(self.week - memory.week[who]),
        )
        entry, why = next_entry(menu, record, DOSE)
        if policy.ours:
            memory.merit[who, line] = np.where(entry != record.last, 0, record.merit)
            return entry, why
        first = memory.first[who, line]
        new = first == NOTHING
        if policy is Policy.FIXED:
            entry = np.where(new, entry, first)
        elif policy is Policy.FIVE_A_WEEK:
            entry = np.where(new, entry, _five_a_week(menu, first, self.week))
        else:
            entry = np.where(new, entry, _double(menu, record))
            memory.reps[who, line] = np.where(entry != record.last, DOSE.low, memory.reps[who, line])
        memory.first[who, line] = np.where(new, entry, first)
        return entry, why

    def _set(self, line: int, number: int, entry: Integers, view: PersonParameters, more: Array) -> None:
        lines, people = self.season.lines, len(entry)
        dose = np.full(people, PLAIN_REPS)
        if self.season.policy.ours:
            forecast = lines.try_set(view, self.forecast, line, entry, dose).possible
            dose = set_reps(forecast, DOSE, more)
        elif self.season.policy is Policy.DOUBLE:
            dose = self.season.memory.reps[self.who, line]
        self.forecast = lines.try_set(view, self.forecast, line, entry, dose).after
        trial = lines.try_set(self.truth, self.fatigue, line, entry, dose)
        self.fatigue = trial.after
        most = np.floor(trial.possible)
        reps = np.minimum(dose, most)
        reply = answers(most - reps, most < dose, self.season.rng)
        for name, values in (
            ("entry", entry),
            ("dose", dose),
            ("reps", reps),
            ("left", most - reps),
            ("answer", reply),
        ):
            self.sets[name][:, line, number] = values

    def _remember(self, line: int, entry: Integers) -> None:
        memory, who = self.season.memory, self.who
        answer, reps, dose = (self.sets[name][:, line] for name in ("answer", "reps", "dose"))
        memory.merit[who, line], memory.below[who, line] = after_evening(
            memory.merit[who, line], memory.below[who, line], answer, reps, dose, DOSE
        )
        memory.last[who, line] = entry
        if self.season.policy is Policy.DOUBLE:
            grows = (reps >= dose).all(axis=1) & (answer >= 2).all(axis=1) & (dose[:, 0] < DOSE.high)
            memory.reps[who, line] += grows


def _five_a_week(menu: Menu, first: Integers, week: float) -> Integers:
    """The heaviest piece for the first version that is no heavier than the first load and 5 % a week."""
    most_kg = menu.load_kg[first] * FIVE**week
    fits = (menu.rung[None] == menu.rung[first][:, None]) & (menu.load_kg[None] <= most_kg[:, None] + 1e-9)
    result: Integers = np.where(fits, menu.load_kg[None], -1.0).argmax(axis=1)
    return result


def _double(menu: Menu, record: Record) -> Integers:
    """The next entry up after two evenings at the top of the dose, the next one down after two below it, by the middle
    of people; what a coach does with a list of versions and loads and no forecast.
    """
    order = np.argsort(-np.median(menu.possible, axis=0), kind="stable")
    place = np.argsort(order)[np.maximum(record.last, 0)]
    place = place + (record.merit >= 2) - (record.below >= 2)
    return order[np.clip(place, 0, len(order) - 1)]
