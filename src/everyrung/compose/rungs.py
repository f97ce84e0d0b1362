"""Rungs that could stand in for another: the move's whole ladder, then other moves of its kind, the nearest first;
and more or less of the same, by steps of two repetitions or five seconds.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import product
from typing import TypeVar

from everyrung.compose.case import PlanRun
from everyrung.moves.alternatives import other_moves
from everyrung.moves.difference import difference
from everyrung.plan.bouts import lacking
from everyrung.plan.doses import (
    DEFAULT_HOLD_MS,
    DEFAULT_REPS,
    HOLD_STEP_MS,
    LEAST_HOLD_MS,
    LEAST_REPS,
    MOST_HOLD_MS,
)
from everyrung.terms.edit import OneEdit, SetCell
from everyrung.terms.enums import Mode, OptionKind, Sidedness
from everyrung.terms.move import Rung
from everyrung.terms.session import Cell
from everyrung.terms.units import Dose, Per

HIGHEST = 5
MOST_RUNGS = 3  # named on a button; chosen, because more than three names on a button are no longer read
MOST_WAYS, MOST_COMBINED = 4, 8  # tried; chosen, because a trial costs time and three buttons are shown
FEW = 4  # columns, of which every combination is looked at; chosen, because it grows as a power of them
Way = TypeVar("Way")


@dataclass(frozen=True, slots=True, kw_only=True)
class StandIn:
    """A rung of the library; `move` is '' for the cell's own ladder."""

    move: str
    rung: Rung

    @property
    def address(self) -> str:
        """As an option names it in a plan."""
        return f"{self.move}/{self.rung.key}" if self.move else self.rung.key


def stand_ins(
    case: PlanRun, cell: Cell, kind: OptionKind | None, *, highest: int = HIGHEST, free: bool = False
) -> tuple[StandIn, ...]:
    """What could be led (`kind` None) or offered in place of what is, each form once.

    None is above grade `highest`, has a caution in question, or needs kit that is not listed; `free`: needs any kit.
    """
    by_name: dict[str, StandIn] = {}
    for _, each in sorted(_pool(case, cell, kind), key=lambda one: one[0]):
        rung = each.rung
        fits = rung.grade <= highest and not set(rung.cautions) & case.cautions
        bare = not rung.needs_kit if free or kind is OptionKind.NO_KIT else not lacking(rung, case.session.kit)
        if fits and bare and rung.name != _now(cell, kind):
            by_name.setdefault(rung.name, each)
    return tuple(by_name.values())


def _now(cell: Cell, kind: OptionKind | None) -> str:
    if kind is None:
        return cell.rung.name
    option = cell.option(kind)
    return option.rung.name if option else ""


def _pool(case: PlanRun, cell: Cell, kind: OptionKind | None) -> Iterator[tuple[tuple[int, ...], StandIn]]:
    """Every rung on the right side of the led one, with how far it is from it."""
    place, above = place_on_ladder(cell)
    for at, rung in enumerate(cell.move.versions):
        step = at - place
        if _right_way(kind, cell.rung, rung, step or (-1 if above else 0)):
            yield _distance(cell.rung, rung, 0, step), StandIn(move="", rung=rung)
    for far, move in other_moves(case.library, cell.move):
        for rung in move.versions:
            if _right_way(kind, cell.rung, rung, rung.grade - cell.rung.grade):
                yield _distance(cell.rung, rung, far, 0), StandIn(move=move.key, rung=rung)


def place_on_ladder(cell: Cell) -> tuple[int, bool]:
    """Where the led rung stands on its move's ladder, and whether it is one of the coach's own above that place."""
    keys = [rung.key for rung in cell.move.versions]
    key = cell.rung.key if cell.rung.key in keys else cell.rung.key.partition("+")[0]
    return (keys.index(key) if key in keys else 0), cell.rung.key not in keys


def _right_way(kind: OptionKind | None, led_rung: Rung, rung: Rung, step: int) -> bool:
    """Whether a rung keeps what its kind promises. The lowest grade has nothing lower: there another of it will do."""
    if kind is OptionKind.HARDER:
        return step > 0 and rung.grade >= led_rung.grade
    if kind is OptionKind.EASIER:
        return rung.grade <= led_rung.grade and (step < 0 or rung.grade == 1)
    return rung.grade <= led_rung.grade if kind is OptionKind.NO_KIT else True


def _distance(led_rung: Rung, rung: Rung, far: int, step: int) -> tuple[int, ...]:
    """How much another rung asks people to change, the gravest first."""
    change = difference(led_rung, rung)
    return far, change.floor, change.mode, change.grades, change.surface, abs(step)


def combine(ways: Sequence[Sequence[Way]]) -> Iterator[tuple[Way, ...]]:
    """One way for each of several columns or kinds, the nearest of all first; none where one of them has none."""
    most = MOST_WAYS if len(ways) <= FEW else 2 if len(ways) <= 2 * FEW else 1
    near = [each[:most] for each in ways]
    picks = sorted(product(*(range(len(each)) for each in near)), key=sum) if near else []
    return (tuple(each[at] for each, at in zip(near, pick, strict=True)) for pick in picks[:MOST_COMBINED])


def change_dose(cell: Cell, reps: int, most: int = 30) -> Dose | None:
    """The cell's dose with `reps` repetitions more a side (a negative number: fewer), or as many steps of time.

    None where that leaves what a set may be: LEAST_REPS or LEAST_HOLD_MS at least, `most` repetitions at most.
    """
    dose = cell.dose
    if dose.reps is not None:
        factor = 2 if dose.per is Per.ALL else 1
        new_reps = dose.reps + factor * reps
        return replace(dose, reps=new_reps) if LEAST_REPS * factor <= new_reps <= most * factor else None
    time_ms = (dose.duration_ms or 0) + HOLD_STEP_MS * reps
    return replace(dose, duration_ms=time_ms) if LEAST_HOLD_MS <= time_ms <= MOST_HOLD_MS else None


def set_dose(cell: Cell, dose: Dose | None) -> tuple[OneEdit, ...]:
    """The edit that gives a cell another dose; none where there is none."""
    return (SetCell(ref=cell.ref, field="dose", value=str(dose)),) if dose else ()


def dose_for(cell: Cell, mode: Mode, sides: Sidedness) -> Dose | None:
    """The dose of a rung of another kind in the cell's place; None where the cell's own will do."""
    old = cell.rung.form
    if (mode, sides) == (old.mode, old.sides):
        return None
    per = Per.PLAIN if sides is Sidedness.BOTH else Per.SIDE
    if mode is Mode.HOLD:
        return Dose(duration_ms=DEFAULT_HOLD_MS, per=per)
    return Dose(reps=max(LEAST_REPS, cell.bouts[0].reps or DEFAULT_REPS), per=per)
