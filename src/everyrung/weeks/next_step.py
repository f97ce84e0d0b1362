"""Which version with which load comes next for whom: a step up only once it was earned, down where it was too much.

The rule is double progression on the ladder (ratamess2009, baechle2008). While the dose can still grow, version and load
stay. After two evenings running in which every set was done in full with two or more left, the smallest step that is
there comes: a load up to 10 % heavier, a version 5 to 25 % harder, else the next piece that is owned. After two evenings
below the dose, or three weeks away, one step down. Who was away for two weeks starts where they stopped.

>>> import numpy as np
>>> menu = Menu(
...     rung=np.array([0, 0]), load_kg=np.array([4.0, 5.0]), may=np.ones((1, 2), dtype=bool),
...     possible=np.array([[16.0, 12.5]]), peak=np.array([[0.40, 0.47]]),
... )
>>> record = Record(last=np.array([0]), earned=np.array([2]), below=np.array([0]), away_weeks=np.array([0.5]))
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
MOST_HARDER = 1.25  # times the hardest joint's part of strength; chosen in DESIGN 15
STEP_WEEKS = 2.0  # nobody steps up after so long away; chosen: missed weeks do not earn
NARROW = 0.2  # of a repetition, below which a forecast is not told from the end of the dose; chosen
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
    have `earned` a step or stayed `below` the dose, and for how many weeks they were away.
    """

    last: Integers
    earned: Integers
    below: Integers
    away_weeks: Array


@dataclass(frozen=True, slots=True, kw_only=True)
class Dose:
    """Repetitions from `low` to `high`, with so many to be left."""

    low: int
    high: int
    target_left: float

    @property
    def wanted(self) -> float:
        """The repetitions that should be possible: near the low end, for a set of few is foretold best."""
        return min(self.low + 1, self.high) + self.target_left

    def holds(self, possible: Array) -> Flags:
        """Whether the dose can be chosen so that the target is left."""
        most = max(self.low + 1, self.high) + self.target_left - NARROW
        result: Flags = (possible >= self.low - 1 + self.target_left) & (possible <= most)
        return result


def next_entry(menu: Menu, record: Record, dose: Dose) -> tuple[Integers, list[Why]]:
    """The place in the menu of what each person takes next, NOTHING where they may do nothing; and why."""
    people = np.arange(len(record.last))
    here = np.maximum(record.last, 0)
    off = np.where(menu.may, np.abs(np.log((menu.possible + 0.5) / (dose.wanted + 0.5))), NEVER)
    best = off.argmin(axis=1)
    known = (record.last != NOTHING) & menu.may[people, here]
    open_to = np.where(_allowed(menu, record, here), off, NEVER)
    open_to[people, here] = off[people, here]
    stays = dose.holds(menu.possible[people, here])
    chosen = np.where(known, np.where(stays, here, open_to.argmin(axis=1)), best)
    forced = known & ((record.below >= BELOW_EVENINGS) | (record.away_weeks >= training_constant("kept_weeks")))
    lower, there = _one_down(menu, here)
    keeps = menu.possible[people, chosen] <= menu.possible[people, here]
    chosen = np.where(forced & keeps & there, lower, chosen)
    chosen = np.where(menu.may.any(axis=1), chosen, NOTHING)
    return chosen, [_why(menu, record, *each) for each in zip(people, here, chosen, known, strict=True)]


def _allowed(menu: Menu, record: Record, here: Integers) -> Flags:
    """Which entries each person may take after the one they come from (person, entry): all that are easier, and what
    was earned of the harder ones.
    """
    people = np.arange(len(here))
    load_kg, possible, peak = menu.load_kg[here][:, None], menu.possible, menu.peak
    harder = menu.may & (possible < possible[people, here][:, None])
    heavier = menu.load_kg > load_kg * (1 + USUAL_STEP) + 1e-9
    reach = ~heavier | _next_piece(menu, load_kg)
    near = ~heavier & (peak <= MOST_HARDER * peak[people, here][:, None])
    least = np.zeros_like(harder)
    within = np.where(harder & reach, possible, -1.0)
    least[people, within.argmax(axis=1)] = True
    earned = (record.earned >= EARNED_EVENINGS) & (record.away_weeks < STEP_WEEKS)
    result: Flags = menu.may & (~harder | (earned[:, None] & reach & (near | least)))
    return result


def _next_piece(menu: Menu, load_kg: Array) -> Flags:
    """Whether between a load and an entry's nothing else is owned for the same version (person, entry)."""
    same = menu.rung[:, None] == menu.rung[None, :]
    between = (menu.load_kg[None, :, None] > load_kg[:, :, None] + 1e-9) & (
        menu.load_kg[None, :, None] < menu.load_kg[None, None, :] - 1e-9
    )
    result: Flags = ~(between & same[None] & menu.may[:, :, None]).any(axis=1)
    return result


def _one_down(menu: Menu, here: Integers) -> tuple[Integers, Flags]:
    """The nearest easier entry of each person that is no heavier, and whether there is one."""
    people = np.arange(len(here))
    easier = menu.may & (menu.possible >= menu.possible[people, here][:, None] + 1)
    easier &= menu.load_kg <= menu.load_kg[here][:, None] + 1e-9
    ranked = np.where(easier, menu.possible, NEVER)
    return ranked.argmin(axis=1), easier.any(axis=1)


def _why(menu: Menu, record: Record, person: int, here: int, chosen: int, known: bool) -> Why:
    if not known or chosen == NOTHING:
        return Why.FIRST
    if chosen == here:
        return Why.KEEP
    if menu.possible[person, chosen] < menu.possible[person, here]:
        return Why.UP
    if record.below[person] >= BELOW_EVENINGS:
        return Why.BELOW
    return Why.AWAY if record.away_weeks[person] >= training_constant("kept_weeks") else Why.EASIER


def after_evening(record: Record, left: Array, reps: Array, asked: Array, dose: Dose) -> tuple[Integers, Integers]:
    """How many evenings running have earned a step, and stayed below, once this one is counted: from what was `left`
    and done (`reps`) of what was `asked` in each set (person, set).
    """
    whole = (reps >= asked).all(axis=1)
    full = whole & (asked[:, 0] >= min(dose.low + 2, dose.high)) & (left >= EARNED_LEFT).all(axis=1)
    easy = full & (left >= EASY_LEFT).all(axis=1)
    below = ~whole | (left[:, -1] < 1)
    return (
        np.where(full, record.earned + 1 + easy, 0),
        np.where(below, record.below + 1, 0),
    )


def set_reps(possible: Array, dose: Dose, more: Array) -> NDArray[np.int64]:
    """How many repetitions of a set leave the target (person); `more` by what the set before was like."""
    result: NDArray[np.int64] = np.clip(
        np.round(possible - dose.target_left + more), dose.low - 3, dose.high + 3
    ).astype(np.int64)
    return result


def more_reps(left: Array) -> Array:
    """By how many repetitions the next set changes after what was left in the last one (chosen: one for each that is
    beyond 2 to 4, two at most).

    >>> more_reps(np.array([0.0, 3.0, 5.0, 9.0])).tolist()
    [-2.0, 0.0, 1.0, 2.0]
    """
    result: Array = np.clip(np.where(left > 4, left - 4, np.minimum(left - 2, 0)), -2, 2)
    return result
