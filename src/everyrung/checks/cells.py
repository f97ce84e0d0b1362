"""The blocks and cells that rules look at, and cells with the same trouble gathered into one finding."""

from collections.abc import Hashable, Iterable, Iterator
from typing import TypeVar

from everyrung.terms.enums import BlockKind
from everyrung.terms.plan import Ref
from everyrung.terms.sentences import lower_first
from everyrung.terms.session import Block, Cell, Session

What = TypeVar("What", bound=Hashable)


def refs(cells: Iterable[Cell]) -> tuple[Ref, ...]:
    """Where some cells stand, each once, column by column as they are read."""
    columns: dict[tuple[str, str], dict[Ref, None]] = {}
    for cell in cells:
        columns.setdefault((cell.ref.block, cell.ref.cell), {})[cell.ref] = None
    return tuple(ref for column in columns.values() for ref in column)


def move_words(cell: Cell) -> str:
    """'bent-over row': a cell's move as it is said within a sentence."""
    return lower_first(cell.move.name)


def key_words(key: str) -> str:
    """'split squat' for 'split-squat'."""
    return key.replace("-", " ")


def count_words(number: int, thing: str) -> str:
    """A number with its thing, singular or plural.

    >>> count_words(1, "cell"), count_words(2, "cell")
    ('1 cell', '2 cells')
    """
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"


def and_list(words: Iterable[str]) -> str:
    """'a, b and c'."""
    items = list(words)
    return " and ".join([", ".join(items[:-1]), items[-1]] if len(items) > 1 else items)


def group_by_column(troubles: Iterable[tuple[Cell, What]]) -> Iterator[tuple[tuple[Cell, ...], What]]:
    """Troubles by column: the same one in several rounds comes once, with its cells. One finding, not one a round."""
    columns: dict[tuple[str, str, What], list[Cell]] = {}
    for cell, what in troubles:
        columns.setdefault((cell.ref.block, cell.ref.cell, what), []).append(cell)
    for (_, _, what), cells in columns.items():
        yield tuple(cells), what


def every_block(session: Session) -> tuple[Block, ...]:
    """Everything that is led or may be: the blocks, then the reserve."""
    return (*session.blocks, *session.reserve)


def every_cell(session: Session) -> Iterator[Cell]:
    """The cells of `every_block`, block by block, also those of the reserve."""
    return (cell for block in every_block(session) for cell in block.cells)


def strength_blocks(session: Session) -> tuple[Block, ...]:
    """Main blocks and the reserve: where rungs have to be open to everyone and rounds have to rise."""
    return (*session.of_kind(BlockKind.MAIN), *session.of_kind(BlockKind.RESERVE), *session.reserve)


def strength_cells(session: Session) -> Iterator[Cell]:
    """The cells of `strength_blocks`, block by block; those of the reserve last."""
    return (cell for block in strength_blocks(session) for cell in block.cells)
