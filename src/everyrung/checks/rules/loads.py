"""A pair of loads is a pair."""

from collections.abc import Iterator

from everyrung.checks.cells import called, every_cell, gathered, refs
from everyrung.checks.rule import TIMELINE, rule
from everyrung.terms.enums import Severity
from everyrung.terms.finding import Finding
from everyrung.terms.session import Cell, Session
from everyrung.terms.timeline import Timeline
from everyrung.terms.units import Load


@rule(TIMELINE)
def pair_unequal(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """Two pieces held together weigh the same, whatever units they are written in.

    Severity: error
    Limit: 0 kg between the two pieces
    Source: common practice, no source: a pair of loads must match
    """
    troubles = ((cell, load) for cell in every_cell(session) for load in _loads(cell) if not load.matched)
    for cells, load in gathered(troubles):
        first, second = load.pieces
        light, heavy = sorted(load.pieces, key=lambda piece: piece.mass_kg)
        apart_kg = heavy.mass_kg - light.mass_kg
        yield Finding(
            rule="pair-unequal",
            severity=Severity.ERROR,
            where=cells[0].where,
            places=refs(cells),
            measured=f"{first} with {second}: {apart_kg:.2g} kg apart",
            limit="0 kg between the two pieces of a pair",
            source="common practice, no source: a pair of loads must match",
            remedy=f"Take 2 x {light} for the {called(cells[0])}, or choose a rung with one piece.",
            hint=f'Write load = "2 x {light}" for {cells[0].ref.cell}.',
        )


def _loads(cell: Cell) -> set[Load]:
    """The loads of the cell and of its options, each once."""
    held = {bout.load for bout in cell.bouts} | {option.rung.form.amount for option in cell.options}
    return {load for load in held if load is not None}
