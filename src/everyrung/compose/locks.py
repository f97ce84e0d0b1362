"""What the coach has locked stays as it is: whether a change leaves it so."""

from collections.abc import Iterator
from dataclasses import replace

from everyrung.checks.cells import every_block, every_cell
from everyrung.terms.errors import Where
from everyrung.terms.plan import Ref
from everyrung.terms.session import Block, Cell, Session

_NOWHERE = Where(file="", line=0, field="")


def locks_touched(before: Session, after: Session) -> tuple[Ref, ...]:
    """The places with a lock that are not what they were, whole parts first."""
    return (*_blocks_touched(before, after), *_cells_touched(before, after))


def has_lock(session: Session, ref: Ref) -> bool:
    """Whether a cell, or the part it is in, has a lock."""
    return any(
        block.lock or any(cell.lock and cell.ref == ref for cell in block.cells)
        for block in every_block(session)
        if block.name == ref.block
    )


def _blocks_touched(before: Session, after: Session) -> Iterator[Ref]:
    now = {block.name: block for block in every_block(after)}
    for block in every_block(before):
        if block.lock and (block.name not in now or _content(block) != _content(now[block.name])):
            yield Ref(block=block.name)


def _content(block: Block) -> tuple[object, ...]:
    rounds = tuple((each.name, each.rest_ms, tuple(map(_bare, each.cells))) for each in block.rounds)
    return block.kind, block.say, block.talk_ms, rounds


def _cells_touched(before: Session, after: Session) -> Iterator[Ref]:
    now = {cell.ref: cell for cell in every_cell(after)}
    for cell in every_cell(before):
        if cell.lock and (cell.ref not in now or _bare(cell) != _bare(now[cell.ref])):
            yield cell.ref


def _bare(cell: Cell) -> Cell:
    """A cell wherever it stands in the file."""
    return replace(cell, where=_NOWHERE)
