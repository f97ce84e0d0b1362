"""Moves that can come into a part, or into another one's place: each in the version that fits, the nearest first."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from statistics import median

from everyrung.checks.cells import every_block
from everyrung.checks.rules.whole_session import HIGHEST_GRADE
from everyrung.compose.add_move import fitting_beside, fitting_rung
from everyrung.compose.case import PlanRun
from everyrung.compose.swap import column_at
from everyrung.moves.alternatives import alternatives
from everyrung.moves.difference import difference
from everyrung.plan.bouts import lacking
from everyrung.terms.enums import Caution, KitItem, MoveKind
from everyrung.terms.move import Move, Rung
from everyrung.terms.plan import Ref


@dataclass(frozen=True, slots=True, kw_only=True)
class FittingMove:
    """A move in the version that would come: the kit that is not there for it, what somebody has to avoid in it, and
    whether it is harder than this session's level.
    """

    move: Move
    rung: Rung
    kit_gaps: tuple[KitItem, ...]
    to_avoid: tuple[Caution, ...]
    too_hard: bool


def moves_for(start: PlanRun, block: str, kind: MoveKind) -> tuple[FittingMove, ...]:
    """Moves of a kind for a part of the session, those first that ask people to change least: that are not in it yet,
    need no kit beside what is in use there, and stay where the part mostly is. Then those of patterns that the part has
    least of, and those about as hard.
    """
    cells = tuple(cell for each in every_block(start.session) if each.name == block for cell in each.cells)
    there = {cell.move.key: cell.move.pattern for cell in cells}
    patterns = Counter(there.values())
    in_use = {need.item for cell in cells for need in cell.rung.kit}
    on_floor = sum(cell.rung.form.position.on_floor for cell in cells) * 2 > len(cells)
    grade = median([cell.rung.grade for cell in cells]) if cells else 1

    def distance(each: FittingMove) -> tuple[float, ...]:
        more = sum(need.item not in in_use for need in each.rung.kit if need.item.counts_as_kit)
        moves_place = each.rung.form.position.on_floor is not on_floor
        return each.move.key in there, more, moves_place, patterns[each.move.pattern], abs(each.rung.grade - grade)

    every = (_fitting(start, move, fitting_rung(start, move)) for move in _of_kind(start, kind))
    return tuple(sorted(every, key=lambda each: (*distance(each), each.move.name)))


def moves_in_place(start: PlanRun, at: Ref) -> tuple[FittingMove, ...]:
    """Moves that can stand in a set's place: of its pattern, of one beside it, then all others of its kind. Raises
    Invalid for a place that is not there.
    """
    cell = column_at(start, at)[1][0]
    near = [rung.move for rung in alternatives(start.library, cell.rung)]

    def distance(each: FittingMove) -> tuple[int, ...]:
        change = difference(cell.rung, each.rung)
        far = near.index(each.move.key) if each.move.key in near else len(near)
        return far, change.to_floor, change.grades, change.floor, change.mode

    every = (
        _fitting(start, move, fitting_beside(start, cell.rung, move))
        for move in _of_kind(start, cell.move.kind)
        if move.key != cell.move.key
    )
    return tuple(sorted(every, key=lambda each: (*distance(each), each.move.name)))


def _of_kind(start: PlanRun, kind: MoveKind) -> Iterator[Move]:
    moves = (start.library.move(key) for key in start.library.keys)
    return (move for move in moves if move.kind is kind)


def _fitting(start: PlanRun, move: Move, rung: Rung) -> FittingMove:
    return FittingMove(
        move=move,
        rung=rung,
        kit_gaps=lacking(rung, start.session.kit),
        to_avoid=tuple(each for each in Caution if each in rung.cautions and each in start.cautions),
        too_hard=rung.grade > HIGHEST_GRADE[start.session.level],
    )
