"""A move taken out and another put in its place, in every round, each round a step harder."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from everyrung.checks.cells import every_block
from everyrung.compose.add_move import fitting_beside
from everyrung.compose.case import PlanRun, Remedy
from everyrung.compose.rungs import change_dose, dose_for
from everyrung.moves.alternatives import alternatives
from everyrung.terms.edit import AddMove, OneEdit, RemoveMove, SetCell, SetHead, ShiftMove, SkipCell, TakeRung
from everyrung.terms.errors import Invalid, nearest
from everyrung.terms.move import Rung
from everyrung.terms.plan import Ref
from everyrung.terms.session import Block, Cell

STEP_REPS = 2  # from round to round; chosen, because one more is within what anybody miscounts


def swaps(start: PlanRun, at: Ref, only: str = "") -> Iterator[Remedy]:
    """Other moves for the column that a cell is in, the nearest first: none with a caution in question, none that needs
    kit that is not there. Or `only` one, in the version that fits. Raises Invalid for a place or a move that is not
    there.
    """
    block, cells = column_at(start, at)
    now, kit = cells[0].rung, {stock.item for stock in start.session.kit}
    if only:
        rungs: tuple[Rung, ...] = (fitting_beside(start, now, start.library.move(only)),)
    else:
        rungs = alternatives(start.library, now, avoid=start.cautions, kit=kit)
    for rung in rungs:
        name = start.library.move(rung.move).name
        yield Remedy(words=f"{name} in place of {cells[0].move.name.lower()}", edits=swap(start, block, cells, rung))


def column_at(start: PlanRun, at: Ref) -> tuple[Block, tuple[Cell, ...]]:
    """The block and the column of a cell. Raises Invalid with the nearest place."""
    for block in every_block(start.session):
        cells = tuple(cell for cell in block.cells if (block.name, cell.ref.cell) == (at.block, at.cell))
        if cells:
            return block, cells
    places = [str(cell.ref) for block in every_block(start.session) for cell in block.cells]
    raise Invalid("cell", "a set of this session", str(at), nearest=nearest(str(at), places))


def swap(start: PlanRun, block: Block, cells: Sequence[Cell], rung: Rung) -> tuple[OneEdit, ...]:
    """The edits that lead another move's rung in a column's place; its cut order goes with it."""
    columns = list(next(each for each in start.run.plan.blocks if each.name == block.name).columns)
    old = cells[0].ref.cell
    key = rung.move if rung.move not in columns else next(
        name for at in range(2, 999) if (name := f"{rung.move} {at}") not in columns
    )  # fmt: skip
    edits: list[OneEdit] = [
        AddMove(block=block.name, move=rung.move),
        ShiftMove(block=block.name, cell=key, to=columns.index(old)),
    ]
    numbers = {cell.ref.round: number for number, cell in enumerate(cells)}
    for each in block.rounds:
        ref = Ref(block=block.name, round=each.name, cell=key)
        if each.name in numbers:
            edits += _set(ref, rung, cells[0], numbers[each.name])
        else:
            edits.append(SkipCell(ref=ref, skip=True))
    edits.append(RemoveMove(block=block.name, cell=old))
    return (*edits, *_cut_order(start, block.name, old, key))


def _set(ref: Ref, rung: Rung, first: Cell, number: int) -> tuple[OneEdit, ...]:
    """One round's set: the old first dose, or one of the new move's kind, and a step more in each round."""
    dose = dose_for(first, rung.form.mode, rung.form.sides) or first.dose
    steps = STEP_REPS * number if rung.form.rep_ms and dose.reps else number
    more = change_dose(replace(first, dose=dose), steps) or dose
    return TakeRung(ref=ref, rung=rung.key), SetCell(ref=ref, field="dose", value=str(more))


def _cut_order(start: PlanRun, block: str, old: str, key: str) -> Iterator[OneEdit]:
    order = start.run.plan.cut_order
    if any((ref.block, ref.cell) == (block, old) for ref in order):
        places = [replace(ref, cell=key) if (ref.block, ref.cell) == (block, old) else ref for ref in order]
        yield SetHead(field="cut_order", value=list(map(str, places)))
