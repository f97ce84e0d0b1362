"""People in waves: who is in which, and what became of all of them where each wave did the same cells in its own order.

Everybody walks through the cells in the order of every wave; of each walk those in that wave are kept.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from everyrung.effort.audience import People
from everyrung.effort.outcomes import Attempt, CellOutcome
from everyrung.effort.perform_set import Outcome
from everyrung.effort.three_compartment import Array, Integers
from everyrung.terms.session import Session
from everyrung.timing.turns import wave_sizes

AT_HOME = -1  # no place in the room


@dataclass(frozen=True, slots=True, kw_only=True)
class AfterRun:
    """People after some cells: the outcome of each by the slot's place, their fatigue (person, motion, part), and by
    person from when they are free.
    """

    steps: Mapping[int, CellOutcome]
    fatigue: Array
    free_ms: Array


def spots_in_room(people: People) -> Integers:
    """By person as which they came to the room, AT_HOME for those who have kit of their own."""
    in_room = np.array([kit is None for kit in people.kits])[people.kit]
    return np.where(in_room, people.spot, AT_HOME)


def waves_of(session: Session, spots: Integers, waves: int) -> Integers:
    """By person, the wave: places of the room are filled in turn, the first ones are wave A's; at home all do as A."""
    of_place = np.repeat(np.arange(waves), wave_sizes(max(1, session.who.in_room), waves))
    return np.where(spots == AT_HOME, 0, of_place[spots % len(of_place)])


def of_waves(ways: Sequence[AfterRun], wave: Integers) -> AfterRun:
    """Of each person what became of them in their own wave; the cells in the first wave's order."""
    first = ways[0]
    if len(ways) == 1:
        return first
    return AfterRun(
        steps={place: _of_waves([way.steps[place] for way in ways], wave) for place in first.steps},
        fatigue=_pick([way.fatigue for way in ways], wave),
        free_ms=_pick([way.free_ms for way in ways], wave),
    )


def _pick(arrays: Sequence[NDArray[Any]], wave: Integers) -> NDArray[Any]:
    """By person (the first axis) the row of their wave's array."""
    result = arrays[0].copy()
    for number, each in enumerate(arrays[1:], 1):
        result[wave == number] = each[wave == number]
    return result


def _of_waves(steps: Sequence[CellOutcome], wave: Integers) -> CellOutcome:
    """Who may do what does not depend on fatigue, so every wave has the same attempts in the same order."""
    first = steps[0]
    return replace(
        first,
        as_planned=_attempts([each.as_planned for each in steps], wave),
        attempts=_attempts([each.attempts for each in steps], wave),
        candidates=tuple(
            replace(each[0], left=_pick([one.left for one in each], wave))
            for each in zip(*(step.candidates for step in steps), strict=True)
        ),
        choice=_pick([each.choice for each in steps], wave),
    )


def _attempts(by_wave: Sequence[tuple[Attempt, ...]], wave: Integers) -> tuple[Attempt, ...]:
    return tuple(_attempt(each, wave[each[0].places]) for each in zip(*by_wave, strict=True))


def _attempt(attempts: Sequence[Attempt], wave: Integers) -> Attempt:
    outcomes = tuple(_outcome(each, wave) for each in zip(*(one.outcomes for one in attempts), strict=True))
    return replace(attempts[0], outcomes=outcomes, left=_pick([one.left for one in attempts], wave))


def _outcome(outcomes: Sequence[Outcome], wave: Integers) -> Outcome:
    return Outcome(
        dose=outcomes[0].dose,
        possible=_pick([one.possible for one in outcomes], wave),
        limiting=_pick([one.limiting for one in outcomes], wave),
        after=_pick([one.after for one in outcomes], wave),
        peak=_pick([one.peak for one in outcomes], wave),
        exactly=_pick([one.exactly for one in outcomes], wave),
    )
