"""Candidates for sides that come out unequal, and for the order in which places are cut."""

from collections.abc import Iterator, Sequence

from everyrung.compose.case import Case, Remedy
from everyrung.compose.rungs import set_dose
from everyrung.plan.doses import LEAST_REPS
from everyrung.terms.edit import OneEdit, SetCell, SetHead
from everyrung.terms.enums import BlockKind, SideRule
from everyrung.terms.finding import InCutOrder
from everyrung.terms.plan import Ref
from everyrung.terms.session import Cell
from everyrung.terms.units import Dose, Per


def both_sides(case: Case) -> Iterator[Remedy]:
    """Both sides in each of the cells, or a number that can be shared out."""
    edits = _both(case.cells)
    yield Remedy(words="Both sides, left then right", edits=edits)
    half = tuple(edit for cell in case.cells for edit in set_dose(cell, _half(cell)))
    if half:  # both sides take twice the time, which the slot may not have
        yield Remedy(words="Both sides, left then right, with half as many each", edits=(*edits, *half))
    for cell in case.cells:
        if cell.dose.per is Per.ALL and cell.dose.reps and cell.dose.reps % 2:
            for reps in (cell.dose.reps + 1, cell.dose.reps - 1):
                dose = Dose(reps=reps, per=Per.ALL)
                yield Remedy(words=f"{dose}, so that both sides get the same", edits=set_dose(cell, dose))


def _half(cell: Cell) -> Dose | None:
    """Half the repetitions of a side, rounded up; None where that is too few, or nothing is counted."""
    reps = -(-(cell.dose.reps or 0) // 2)
    return Dose(reps=reps, per=Per.SIDE) if reps >= LEAST_REPS and cell.dose.per is not Per.ALL else None


def _both(cells: Sequence[Cell]) -> tuple[OneEdit, ...]:
    return tuple(SetCell(ref=cell.ref, field="sides", value=str(SideRule.LEFT_FIRST)) for cell in cells)


def sides_alike(case: Case) -> Iterator[Remedy]:
    """What one side has of its own taken out: the cell's for both, or in turn either side's load for both."""
    own = tuple(SetCell(ref=cell.ref, field=side, value=None) for cell in case.cells for side in ("left", "right"))
    yield Remedy(words="The same on both sides", edits=own)
    loads = {str(bout.load): None for cell in case.cells for bout in cell.bouts if bout.load}
    for load in loads:
        edits = tuple(SetCell(ref=cell.ref, field="load", value=load) for cell in case.cells)
        yield Remedy(words=f"{load} on both sides", edits=(*own, *edits), family="load")


def cut_order(case: Case) -> Iterator[Remedy]:
    """The last main round may go first; where there is but one, its last set."""
    for block in case.session.of_kind(BlockKind.MAIN)[::-1]:
        if len(block.rounds) > 1:
            last = block.rounds[-1].name
            words = f"When time runs out, leave out round {last} of {block.name} first"
            yield Remedy(words=words, edits=(SetHead(field="cut_order", value=[f"{block.name}/{last}"]),))
        for cell in [*block.cells][:0:-1]:
            words = f"When time runs out, leave out {cell.move.name.lower()} of {cell.ref.round} first"
            yield Remedy(words=words, edits=(SetHead(field="cut_order", value=[str(cell.ref)]),))


def out_of_cut_order(case: Case) -> Iterator[Remedy]:
    """A place that may not go alone: both sides of it, or not at all."""
    plan_order = list(map(str, case.run.plan.cut_order))
    refs = [place.ref for place in case.finding.places if isinstance(place, InCutOrder)]
    for ref in refs:
        if ref is None:
            continue
        at = case.session.cut_order.index(ref)
        if ref.side is not None:
            whole = str(Ref(block=ref.block, round=ref.round, cell=ref.cell))
            order = [*plan_order[:at], whole, *plan_order[at + 1 :]]
            words = "When time runs out, leave out both sides of it"
            yield Remedy(words=words, edits=(SetHead(field="cut_order", value=order),))
        order = [*plan_order[:at], *plan_order[at + 1 :]]
        yield Remedy(words="Keep it, whatever the clock says", edits=(SetHead(field="cut_order", value=order or None),))
