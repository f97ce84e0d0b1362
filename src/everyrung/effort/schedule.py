"""When each strength cell of a session begins, and its bouts; and when those of its options would."""

from dataclasses import dataclass
from itertools import accumulate

from everyrung.effort.choices import Offer, strength_cells
from everyrung.terms.session import Cell, Session
from everyrung.terms.timeline import Timeline


@dataclass(frozen=True, slots=True, kw_only=True)
class ScheduledCell:
    """One cell on the clock; `number` is its round's place in the block, from 0."""

    cell: Cell
    number: int
    starts_ms: tuple[int, ...]

    def starts(self, offer: Offer) -> tuple[int, ...]:
        """When the bouts of an offer begin: with the led ones where they are as many, else one after the other."""
        if len(offer.bouts) == len(self.starts_ms):
            return self.starts_ms
        lengths = [bout.duration_ms for bout in offer.bouts]
        return tuple(self.starts_ms[0] + before for before in (0, *accumulate(lengths[:-1])))


def schedule(session: Session, timeline: Timeline) -> tuple[ScheduledCell, ...]:
    """The strength cells in the order they are led."""
    starts: dict[object, list[int]] = {}
    for span in timeline.spans:
        if span.bout is not None and span.cell is not None:
            starts.setdefault(span.cell.ref, []).append(span.at_ms)
    numbers = {
        cell.ref: number for block in session.blocks for number, each in enumerate(block.rounds) for cell in each.cells
    }
    return tuple(
        ScheduledCell(cell=cell, number=numbers[cell.ref], starts_ms=tuple(starts[cell.ref]))
        for cell in strength_cells(session)
    )
