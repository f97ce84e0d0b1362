"""The part of a plan's text that an edit of one cell is about: read by itself, it takes a fraction of the time."""

import re
from collections.abc import Iterator
from dataclasses import replace

from everyrung.terms.edit import AddLever, DropLever, SetCell, TakeRung
from everyrung.terms.frozen import dataclass
from everyrung.terms.plan import BlockText, Plan

InACell = SetCell | TakeRung | AddLever | DropLever
_LINE = re.compile(r"[^\n]*\n|[^\n]+")
_BLOCK, _MOVE, _ROUND = (
    re.compile(rf"\s*\[\[\s*{dots}\s*\]\]") for dots in (r"block", r"block\s*\.\s*move", r"block\s*\.\s*round")
)


@dataclass(frozen=True, slots=True, kw_only=True)
class TextPart:
    """`text` is a plan's text of its own but for the lines of `head`, which it begins with; `plan` has no more in it
    than `text` has. What stands around it is `before` and `after`.
    """

    before: str
    head: str
    text: str
    after: str
    plan: Plan


def part_of_text(text: str, plan: Plan, edit: InACell) -> TextPart | None:
    """The smallest part that an edit of one cell, or of one column, reads or writes: a move, a round, a block. None
    for a place that is not there, and where blocks are not written under heads of their own.
    """
    lines = _LINE.findall(text)
    heads = sorted(_heads(plan, lines))
    block = next((block for block in plan.blocks if block.name == edit.ref.block), None)
    if block is None or len([at for at, kind in heads if kind is _BLOCK]) < len(plan.blocks):
        return None
    smaller, at = _scope(block, edit)
    kind = next((kind for line, kind in heads if line == at), None)
    if kind is None:
        return None
    end = next((line for line, other in heads if line > at and (other is _BLOCK or kind is not _BLOCK)), len(lines))
    head = "" if kind is _BLOCK else "[[block]]\n"
    return TextPart(
        before="".join(lines[:at]),
        head=head,
        text=head + "".join(lines[at:end]),
        after="".join(lines[end:]),
        plan=replace(plan, blocks=(smaller,)),
    )


def _heads(plan: Plan, lines: list[str]) -> Iterator[tuple[int, re.Pattern[str]]]:
    """The lines (from 0) at which blocks, their moves and their rounds begin, where they have heads of their own."""
    for block in plan.blocks:
        places = [(block.where, _BLOCK)]
        places += [(column.where, _MOVE) for column in block.columns.values()]
        places += [(each.where, _ROUND) for each in block.rounds]
        for where, kind in places:
            if kind.match(lines[where.line - 1]):
                yield where.line - 1, kind


def _scope(block: BlockText, edit: InACell) -> tuple[BlockText, int]:
    """The block with no more than the edit needs, and the line (from 0) at which that begins."""
    ref = edit.ref
    if not block.rounds and ref.round == ref.block and ref.cell in block.columns:
        column = block.columns[ref.cell]
        return replace(block, columns={ref.cell: column}), column.where.line - 1
    own = next((each for each in block.rounds if each.name == ref.round), None)
    if own is not None and not getattr(edit, "column", False):
        return replace(block, rounds=(own,)), own.where.line - 1
    return block, block.where.line - 1
