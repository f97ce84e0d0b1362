"""Doses by what people can do: of each column as many repetitions as leave the middle person a few in the last round.

What can be done there is estimated from what rested people can do; whoever walks through the draft says it exactly.
"""

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace

from everyrung.proposals.columns import DOSES, Column, Version
from everyrung.proposals.possible_reps import possible
from everyrung.terms.enums import Level, Mode, Sidedness
from everyrung.terms.session_brief import SessionBrief

TIRED = 0.75  # of what rested people can do, in the last round: the middle of 150 sets of proposals
LEFT, LEFT_GENTLE = 3, 5  # repetitions at the end of the last round: 2 to 4 are common practice, 4 to 6 for the gentle
FEWER, MORE, MORE_HOLDING = -4, 10, 4  # repetitions over a plain dose: up to 20, for light kit (ACSM 2009: 10 to 25)
SHORT = -1  # repetitions over a plain dose where time is short: 8 in all (ACSM 2009: 8 to 12)
S_A_REP = 3.0  # of a hold, as select_rung counts
# Worth, beside what columns.py says: nothing where the middle person has few left. Chosen, so that a set that trains
# goes before any step, and that a pattern in focus is trained lightly rather than not at all.
TOO_LIGHT, MOST_TOO_LIGHT = -1.5, -4.5  # each doubling of what is left over MOST_LEFT
TOO_HARD, MOST_TOO_HARD = -1.0, -4.0  # each repetition under LEAST_LEFT
LEAST_LEFT, MOST_LEFT = 1.0, 6.0
UNKNOWN = -1.0  # what it leaves people has to be found out, on bodies that have to be computed first
KIT = 1.0  # once more for kit that is used, because light kit leaves many repetitions
MANY = -0.08  # each repetition beyond the doses that train most


def fit(columns: Iterable[Column], brief: SessionBrief) -> tuple[Column, ...]:
    """The columns with doses of their own, and what these are worth; those worth most first."""
    aim = aim_left(brief)
    every = (one for each in columns for one in _fit_one(each, aim))
    return tuple(sorted(every, key=lambda column: (-column.worth, str(column.key))))


def aim_left(brief: SessionBrief) -> int:
    """How many repetitions the middle person is to have left in the last round."""
    return LEFT_GENTLE if brief.level is Level.GENTLE or brief.newcomers else LEFT


def reps_of(version: Version, reps: int) -> float:
    """How many repetitions one bout of a version has where a plain set has `reps`; a hold counts by its seconds."""
    form, dose = version.variant.form, version.dose(reps)
    if form.mode is Mode.HOLD:
        return (dose.duration_ms or 0) / 1000 / S_A_REP
    sides = 2 if form.sides is Sidedness.ALTERNATING else 1
    if dose.reps is None:
        return (dose.duration_ms or 0) // form.rep_ms * sides
    return dose.reps * sides


def able(version: Version) -> float | None:
    """How many repetitions of one bout the middle person can do in the last round; None where nobody knows."""
    can_fresh = possible(version.variant.form, version.load)
    if can_fresh is None:
        return None
    return TIRED * can_fresh.half / (S_A_REP if version.variant.form.mode is Mode.HOLD else 1)


def _fit_one(column: Column, aim: int) -> Iterator[Column]:
    """The column with the dose that is nearest to the aim; where that is long also a short one."""
    last = column.versions[-1]
    can_fresh, can = possible(last.variant.form, last.load), able(last)
    if can is None:
        yield replace(column, worth=column.worth + UNKNOWN)
        return
    holds = last.variant.form.mode is Mode.HOLD
    shifts = (0,) if last.by_clock else range(FEWER, (MORE_HOLDING if holds else MORE) + 1)

    def left(shift: int) -> float:
        return can - reps_of(replace(last, more=last.more + shift), DOSES[0])

    best = min(shifts, key=lambda each: (abs(left(each) - aim), abs(each)))
    for shift in {best, min(best, SHORT)}:
        with_kit = KIT * any(each.load for each in column.versions)
        yield replace(
            column,
            versions=tuple(replace(each, more=each.more + shift) for each in column.versions),
            worth=column.worth + with_kit + _worth(left(shift)) + MANY * max(0, shift - 2),
            gives_out=can_fresh.gives_out if can_fresh else "",
        )


def _worth(left: float) -> float:
    if left > MOST_LEFT:
        return max(MOST_TOO_LIGHT, TOO_LIGHT * math.log2(left / MOST_LEFT))
    return max(MOST_TOO_HARD, TOO_HARD * max(0.0, LEAST_LEFT - left))
