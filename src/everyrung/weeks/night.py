"""One evening of simulated people, by one policy or another: what each takes, set by set, and what comes of it."""

from dataclasses import dataclass, field
from enum import StrEnum

import numpy as np

from everyrung.effort.audience import Flags
from everyrung.effort.known_people import QUARTILE
from everyrung.effort.perform_set import PersonParameters
from everyrung.effort.select_rung import NOTHING
from everyrung.effort.three_compartment import Array, Integers
from everyrung.weeks.crowd import answers
from everyrung.weeks.lines import Lines
from everyrung.weeks.next_step import (
    EASY_LEFT,
    Dose,
    Menu,
    Record,
    Why,
    after_evening,
    led_dose,
    more_reps,
    next_entry,
    next_piece_up,
    set_reps,
)
from everyrung.weeks.tonight import Tonight

SETS, REST_S, BETWEEN_S = 3, 90.0, 120.0  # an evening's, by line; chosen, as classes do
LED_REPS = 10  # of every set
FIVE = 1.05
TARGET_LEFT = 3.0  # the middle of 2 to 4
OWN, SAME = led_dose(LED_REPS, TARGET_LEFT), Dose(low=LED_REPS, high=LED_REPS, target_left=TARGET_LEFT)
DOUBLE_DOSE = Dose(low=8, high=12, target_left=TARGET_LEFT)  # ratamess2009


class Policy(StrEnum):
    """How what comes next is chosen."""

    FIXED = "the first choice for good, 10 repetitions"
    FIVE_A_WEEK = "5 % more a week, 10 repetitions"
    DOUBLE = "plain double progression, 8 to 12"
    SAME = "ours, but all do the 10 that are led"
    CARD = "ours, from a card"
    ASKED = "ours, asked after each set"
    KNOWN = "strength known, asked after each set"

    @property
    def ours(self) -> bool:
        """Whether next_step decides."""
        return self in (Policy.SAME, Policy.CARD, Policy.ASKED, Policy.KNOWN)

    @property
    def dose(self) -> Dose:
        """The repetitions that people may do."""
        if self is Policy.DOUBLE:
            return DOUBLE_DOSE
        return OWN if self.ours and self is not Policy.SAME else SAME

    @property
    def asks(self) -> bool:
        """Whether what was said of a set counts from the next one on: a card was printed before the evening."""
        return self in (Policy.ASKED, Policy.KNOWN)


@dataclass(slots=True, kw_only=True)
class Memory:
    """What a policy remembers of each person and line (person, line), and when people were there last (weeks)."""

    last: Integers
    first: Integers
    merit: Integers
    below: Integers
    reps: Integers
    week: Array


def first_memory(people: int, lines: int) -> Memory:
    """Of people who were never there."""
    shape = people, lines
    return Memory(
        last=np.full(shape, NOTHING),
        first=np.full(shape, NOTHING),
        merit=np.zeros(shape, dtype=np.int64),
        below=np.zeros(shape, dtype=np.int64),
        reps=np.full(shape, DOUBLE_DOSE.low),
        week=np.full(people, np.nan),
    )


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
class Night:
    """One evening under way, of people `who` are as `truth` says today: their fatigue as it is and as it is forecast,
    by what repetitions they were to change so far (`more`), and what has happened.
    """

    lines: Lines
    policy: Policy
    memory: Memory
    tonight: Tonight
    truth: PersonParameters
    who: Integers
    week: float
    rng: np.random.Generator
    fatigue: Array = field(init=False)
    forecast: Array = field(init=False)
    more: Array = field(init=False)
    sets: dict[str, Array] = field(init=False)
    why: list[tuple[Why, ...]] = field(default_factory=list)

    def __post_init__(self) -> None:
        people = len(self.who)
        self.fatigue = self.forecast = self.lines.fresh(people)
        self.more = np.zeros(people)
        shape = people, len(self.lines.lines), SETS
        self.sets = {name: np.zeros(shape) for name in ("entry", "dose", "reps", "left", "answer")}

    def evening(self) -> Evening:
        """The whole of it."""
        for line in range(len(self.lines.lines)):
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
        """All sets of a line; of a card's nothing changes but the repetitions, and once to what is harder."""
        self._rest(BETWEEN_S if line else 0.0)
        view = self._view(line)
        menu = self._menu(line, view)
        entry, why = self._choose(line, menu)
        self.why.append(tuple(why))
        moved_up = np.zeros(len(entry), dtype=bool)
        for number in range(SETS):
            if number:
                self._rest(REST_S)
                if self.policy.ours:
                    view = self._view(line)
                    go = ~moved_up & _goes_up(menu, entry, self.sets["answer"][:, line, number - 1], self.policy.dose)
                    entry, moved_up = np.where(go, next_piece_up(menu, entry), entry), moved_up | go
                    self.more = np.where(go, 0.0, self.more)
            self._set(line, number, entry, view)
        self._remember(line, entry)

    def _rest(self, seconds: float) -> None:
        after = self.lines.rates.after_rest
        self.fatigue, self.forecast = after(self.fatigue, seconds), after(self.forecast, seconds)
        self.tonight.rest(seconds)

    def _view(self, line: int) -> PersonParameters:
        """The people as the policy takes them to be: on their first evening as the weak half of such people are."""
        doubt = np.where(np.isnan(self.memory.week[self.who]), QUARTILE, 0.0)
        return self.tonight.view(line, doubt, at_first=not self.policy.asks)

    def _menu(self, line: int, view: PersonParameters) -> Menu:
        here, people = self.lines.lines[line], len(self.who)
        trials = [
            self.lines.try_set(view, self.forecast, line, np.full(people, at), np.full(people, LED_REPS))
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
        memory, who, policy = self.memory, self.who, self.policy
        record = Record(
            last=memory.last[who, line],
            merit=memory.merit[who, line],
            below=memory.below[who, line],
            away_weeks=np.nan_to_num(self.week - memory.week[who]),
        )
        entry, why = next_entry(menu, record, policy.dose)
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
            memory.reps[who, line] = np.where(entry != record.last, DOUBLE_DOSE.low, memory.reps[who, line])
        memory.first[who, line] = np.where(new, entry, first)
        return entry, why

    def _dose(self, line: int, entry: Integers, view: PersonParameters) -> tuple[Integers, Integers]:
        """How many repetitions everyone is to do, and how many were written down before the evening."""
        if self.policy is Policy.DOUBLE:
            reps = self.memory.reps[self.who, line]
            return reps, reps
        plain = np.full(len(entry), LED_REPS)
        if not self.policy.ours or self.policy is Policy.SAME:
            return plain, plain
        possible = self.lines.try_set(view, self.forecast, line, entry, plain).possible
        none = np.zeros(len(entry))
        return set_reps(possible, OWN, none if self.policy.asks else self.more), set_reps(possible, OWN, none)

    def _set(self, line: int, number: int, entry: Integers, view: PersonParameters) -> None:
        dose, on_card = self._dose(line, entry, view)
        trial = self.lines.try_set(self.truth, self.fatigue, line, entry, dose)
        self.fatigue = trial.after
        most = np.floor(trial.possible)
        reps, over = np.minimum(dose, most).astype(np.int64), most < dose
        reply = answers(most - reps, over, self.rng)
        for name, values in (
            ("entry", entry),
            ("dose", dose),
            ("reps", reps),
            ("left", most - reps),
            ("answer", reply),
        ):
            self.sets[name][:, line, number] = values
        tries = np.maximum(reps, 1) if self.policy.asks else on_card
        self.forecast = self.lines.try_set(view, self.forecast, line, entry, tries).after
        self.more = self.more + more_reps(reply)
        self.tonight.hear(line, entry, reps, reply, over)

    def _remember(self, line: int, entry: Integers) -> None:
        memory, who = self.memory, self.who
        answer, reps, dose = (self.sets[name][:, line] for name in ("answer", "reps", "dose"))
        memory.merit[who, line], memory.below[who, line] = after_evening(
            memory.merit[who, line], memory.below[who, line], answer, reps, dose, self.policy.dose
        )
        memory.last[who, line] = entry
        if self.policy is Policy.DOUBLE:
            grows = (reps >= dose).all(axis=1) & (answer >= 2).all(axis=1) & (dose[:, 0] < DOUBLE_DOSE.high)
            memory.reps[who, line] += grows


def _goes_up(menu: Menu, entry: Integers, left: Array, dose: Dose) -> Flags:
    """Who takes the next piece for the set to come, after so many were left in the one before."""
    up = next_piece_up(menu, entry)
    result: Flags = (left >= EASY_LEFT) & (menu.possible[np.arange(len(up)), up] >= dose.least)
    return result


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
