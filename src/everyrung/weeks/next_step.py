"""Which version with which load comes next for whom: a step up once it was earned, down where it was too much.

The rule is double progression on the ladder (ratamess2009, baechle2008). While the dose can still grow, version and
load stay. After two evenings running in which every set was done in full with two or more left, the smallest step that
is there comes: a load up to 10 % heavier, a version up to 25 % harder, else the next piece that is owned. After two
evenings below the dose, or three weeks away, one step down. Who was away for two weeks starts where they stopped.

>>> import numpy as np
>>> menu = Menu(
...     rung=np.array([0, 0]), load_kg=np.array([4.0, 5.0]), may=np.ones((1, 2), dtype=bool),
...     possible=np.array([[16.0, 12.5]]), peak=np.array([[0.40, 0.47]]),
... )
>>> record = Record(last=np.array([0]), merit=np.array([2]), below=np.array([0]), away_weeks=np.array([0.5]))
>>> place, why = next_entry(menu, record, Dose(low=8, high=12, target_left=3))
>>> menu.load_kg[place].tolist(), why
([5.0], [<Why.UP: 'up'>])
"""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from everyrung.effort.audience import Flags
from everyrung.effort.recommend import USUAL_STEP
from everyrung.effort.select_rung import NOTHING
from everyrung.effort.three_compartment import Array, Integers
from everyrung.tables.training import training_constant

EARNED_EVENINGS, BELOW_EVENINGS = 2, 2  # running (baechle2008; the way down: chosen, as the way up)
EARNED_LEFT = 2  # repetitions over the dose that earn a step (baechle2008)
EASY_LEFT = 6  # left in every set of an evening count as two evenings: chosen, as what a card asks before a leap
FEWER = 4  # repetitions that a person may stop before the rest; chosen, as 8 to 12 are four (ratamess2009)
FEWEST = 5  # that are a set; chosen, because fewer train strength with loads that no open class has (ratamess2009)
MOST_HARDER = 1.25  # times the hardest joint's part of strength; chosen, DESIGN 15
STEP_WEEKS = 2.0  # nobody steps up after so long away; chosen, because missed weeks earn nothing
NARROW = 0.2  # of a repetition, below which a forecast is not told from the end of the dose; chosen
LEAST_REPS = 3  # that anybody is told; chosen, because two are hardly worth the way there
SAME_KG = 1e-9
NEVER = 1e9


class Why(StrEnum):
    """Why an entry comes next."""

    FIRST = "first"
    KEEP = "keep"
    UP = "up"
    EASIER = "easier"
    BELOW = "below"
    AWAY = "away"


@dataclass(frozen=True, slots=True, kw_only=True)
class Menu:
    """What people could take in a line: by entry its `rung`, a place in the ladder, and `load_kg`, all that is held; by
    person and entry whether they `may`, the repetitions `possible` at the first set, and `peak`, the hardest joint's
    part of strength.
    """

    rung: Integers
    load_kg: Array
    may: Flags
    possible: Array
    peak: Array


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """What people did in a line up to now, by person: the `last` entry (NOTHING for none), how many evenings running
    have earned a step (`merit`) or stayed `below` the dose, and for how many weeks they were away.
    """

    last: Integers
    merit: Integers
    below: Integers
    away_weeks: Array

    @property
    def must_ease(self) -> Flags:
        """Who goes one step down."""
        result: Flags = (self.below >= BELOW_EVENINGS) | (self.away_weeks >= training_constant("kept_weeks"))
        return result

    @property
    def may_rise(self) -> Flags:
        """Who has earned a step up."""
        result: Flags = (self.merit >= EARNED_EVENINGS) & (self.away_weeks < STEP_WEEKS)
        return result


@dataclass(frozen=True, slots=True, kw_only=True)
class Dose:
    """Repetitions from `low` to `high`, and how many are to be left after them."""

    low: int
    high: int
    target_left: float

    @property
    def aim(self) -> float:
        """The repetitions that should be possible: near the low end, for short sets are foretold best."""
        return min(self.low + 1, self.high) + self.target_left

    @property
    def least(self) -> float:
        """The repetitions that must be possible before a step within the evening: the low end and two more."""
        return self.low + EARNED_LEFT

    @property
    def earns(self) -> int:
        """The repetitions of an evening's first set from which it counts towards a step."""
        return min(self.low + EARNED_LEFT, self.high)

    def holds(self, possible: Array) -> Flags:
        """Whether repetitions can be chosen from the dose so that the target is left."""
        most = max(self.low + 1, self.high) + self.target_left - NARROW
        result: Flags = (possible >= self.low - 1 + self.target_left) & (possible <= most)
        return result


def led_dose(reps: int, target_left: float) -> Dose:
    """What people may do of as many repetitions as are led: all of them, or a few fewer, and then they stop and wait.

    >>> led_dose(12, 3.0).low, led_dose(8, 3.0).low, led_dose(4, 3.0).low
    (8, 5, 4)
    """
    return Dose(low=max(min(FEWEST, reps), reps - FEWER), high=reps, target_left=target_left)


def next_entry(menu: Menu, record: Record, dose: Dose) -> tuple[Integers, list[Why]]:
    """The place in the menu of what each person takes next, NOTHING where they may do nothing; and why."""
    people = np.arange(len(record.last))
    here = np.maximum(record.last, 0)
    now = menu.possible[people, here]
    with_record = (record.last != NOTHING) & menu.may[people, here]
    off = np.where(menu.may, np.abs(np.log((menu.possible + 0.5) / (dose.aim + 0.5))), NEVER)
    best = np.where(_reach(menu, record, here), off, NEVER)
    best[people, here] = off[people, here]
    entry = np.where(dose.holds(now), here, best.argmin(axis=1))
    if dose.low == dose.high:
        harder, there = _one_up(menu, record, here, dose)
        entry = np.where(record.may_rise & there, harder, entry)
    lower, there = _one_down(menu, here)
    no_easier = (menu.possible[people, entry] <= now) | (menu.load_kg[entry] > menu.load_kg[here] + SAME_KG)
    entry = np.where(record.must_ease & no_easier, np.where(there, lower, here), entry)
    entry = np.where(with_record, entry, off.argmin(axis=1))
    entry = np.where(menu.may.any(axis=1), entry, NOTHING)
    return entry, [_why(menu, record, at, int(entry[at]), bool(with_record[at])) for at in range(len(people))]


def next_piece_up(menu: Menu, entries: Integers) -> Integers:
    """The next heavier piece of each person for the same version; the same entry where there is none."""
    heavier = menu.may & (menu.rung[None] == menu.rung[entries][:, None])
    heavier &= menu.load_kg[None] > menu.load_kg[entries][:, None] + SAME_KG
    nearest = np.where(heavier, menu.load_kg[None], NEVER).argmin(axis=1)
    result: Integers = np.where(heavier.any(axis=1), nearest, entries)
    return result


def after_evening(
    merit: Integers, below: Integers, left: Array, reps: Array, reps_led: Array, dose: Dose
) -> tuple[Integers, Integers]:
    """How many evenings running have earned a step (`merit`) and stayed `below` the dose, once this one is counted: by
    person and set what was `left`, how many repetitions were done, and how many were led.
    """
    whole = (reps >= reps_led).all(axis=1)
    full = whole & (reps_led[:, 0] >= dose.earns) & (left >= EARNED_LEFT).all(axis=1)
    easy = full & (left >= EASY_LEFT).all(axis=1)
    short = ~whole | (left[:, -1] < 1)
    return np.where(full, merit + 1 + easy, 0), np.where(short, below + 1, 0)


def set_reps(possible: Array, dose: Dose, more: Array) -> NDArray[np.int64]:
    """How many repetitions of a set leave the target, by person, and never more than are led; `more` by what the sets
    before were like.
    """
    reps = np.floor(possible - dose.target_left + more)
    result: NDArray[np.int64] = np.clip(reps, min(dose.low, LEAST_REPS), dose.high).astype(np.int64)
    return result


def more_reps(left: Array) -> Array:
    """By how many repetitions all sets that follow this evening change after so many `left` in one: one fewer where
    less than 2 were, one more where more than 4; what a card can ask of people. Chosen: one, because an answer is off
    by one; for all sets, because what the first ones show is the day.

    >>> more_reps(np.array([0.0, 3.0, 5.0, 9.0])).tolist()
    [-1.0, 0.0, 1.0, 1.0]
    """
    result: Array = np.where(left > 4, 1.0, np.where(left < 2, -1.0, 0.0))
    return result


def _reach(menu: Menu, record: Record, here: Integers) -> Flags:
    """Which entries each person may take after the one they come from (person, entry): all that are easier and no leap
    in load, and what was earned of the harder ones.
    """
    people = np.arange(len(here))
    load_kg, possible, peak = menu.load_kg[here][:, None], menu.possible, menu.peak
    harder = menu.may & (possible < possible[people, here][:, None])
    heavier = menu.load_kg[None] > load_kg * (1 + USUAL_STEP) + SAME_KG
    fits = ~heavier | _next_piece(menu, load_kg)
    near = ~heavier & (peak <= MOST_HARDER * peak[people, here][:, None])
    least = np.zeros_like(harder)
    least[people, np.where(harder & fits, possible, -1.0).argmax(axis=1)] = True
    up = record.may_rise[:, None] & fits & (near | least)
    result: Flags = menu.may & np.where(harder, up, ~heavier | (record.may_rise[:, None] & fits))
    return result


def _next_piece(menu: Menu, load_kg: Array) -> Flags:
    """Whether no other piece of its version lies between `load_kg` (person, one) and an entry (person, entry)."""
    same = menu.rung[:, None] == menu.rung[None, :]
    above = menu.load_kg[None, :, None] > load_kg[:, :, None] + SAME_KG
    below = menu.load_kg[:, None] < menu.load_kg[None, :] - SAME_KG
    result: Flags = ~(above & below[None] & same[None] & menu.may[:, :, None]).any(axis=1)
    return result


def _one_up(menu: Menu, record: Record, here: Integers, dose: Dose) -> tuple[Integers, Flags]:
    """The smallest step up that each person may take and can do the dose with, and whether there is one: where the dose
    is the same for all, repetitions cannot grow first.
    """
    people = np.arange(len(here))
    harder = _reach(menu, record, here) & (menu.possible < menu.possible[people, here][:, None])
    harder &= menu.possible >= dose.high + max(1.0, dose.target_left - EARNED_LEFT)
    there = np.any(harder, axis=1, keepdims=True)[:, 0]
    return np.where(harder, menu.possible, -1.0).argmax(axis=1), there


def _one_down(menu: Menu, here: Integers) -> tuple[Integers, Flags]:
    """The nearest easier entry of each person that is no heavier, and whether there is one."""
    people = np.arange(len(here))
    easier = menu.may & (menu.possible >= menu.possible[people, here][:, None] + 1)
    easier &= menu.load_kg[None] <= menu.load_kg[here][:, None] + SAME_KG
    there = np.any(easier, axis=1, keepdims=True)[:, 0]
    return np.where(easier, menu.possible, NEVER).argmin(axis=1), there


def _why(menu: Menu, record: Record, person: int, entry: int, with_record: bool) -> Why:
    if not with_record or entry == NOTHING:
        return Why.FIRST
    here = int(record.last[person])
    if entry == here:
        return Why.KEEP
    if menu.possible[person, entry] < menu.possible[person, here]:
        return Why.UP
    if record.below[person] >= BELOW_EVENINGS:
        return Why.BELOW
    return Why.AWAY if record.away_weeks[person] >= training_constant("kept_weeks") else Why.EASIER
