"""Rounds that are like other rounds, cells that take what their column says: all written out."""

from collections.abc import Sequence
from dataclasses import replace

from everyrung.moves.levers import on_top
from everyrung.terms.errors import Fault, Faults, Where
from everyrung.terms.frozen import dataclass
from everyrung.terms.plan import BlockText, CellText, RoundText

_PLAIN = ("dose", "tempo", "beats_a_minute", "load", "carry", "rest_ms", "sides", "left", "right")


@dataclass(frozen=True, slots=True, kw_only=True)
class FullCell:
    """A cell with everything it inherits. `own` is what its rounds say; `text` has the column's words too."""

    key: str
    text: CellText
    own: CellText


@dataclass(frozen=True, slots=True, kw_only=True)
class FullRound:
    """A round as it is written, with all its cells in full."""

    text: RoundText
    cells: tuple[FullCell, ...]


def full_rounds(block: BlockText) -> tuple[FullRound, ...]:
    """Every round of a block in full; a block without rounds is one round of all its moves.

    Raises Faults when rounds are like each other in a circle.

    >>> from everyrung import load_plan
    >>> main = load_plan("examples/boathouse-30.toml").blocks[2]
    >>> [(each.text.name, [cell.key for cell in each.cells]) for each in full_rounds(main)][0]
    ('One', ['squat', 'curl', 'lift', 'lunge', 'hinge'])
    """
    rounds = block.rounds or (RoundText(where=block.where, name=block.name),)
    own = own_cells(rounds)
    return tuple(_full(block, each, own[each.name]) for each in rounds)


def own_cells(rounds: Sequence[RoundText]) -> dict[str, dict[str, CellText]]:
    """What each round says of its cells, by round and column, with what the round that it is `like` says. Raises Faults
    for a circle.
    """
    by_name = {each.name: each for each in rounds}
    cells_by_round: dict[str, dict[str, CellText]] = {}
    for each in rounds:
        for name in reversed(_chain(each, by_name, set(cells_by_round))):
            cells_by_round[name] = _own_cells(by_name[name], cells_by_round)
    return cells_by_round


def _chain(start: RoundText, by_name: dict[str, RoundText], ready: set[str]) -> list[str]:
    """The rounds `start` is built on that are not written out yet, itself first."""
    chain: list[str] = []
    name: str | None = start.name
    while name is not None and name not in ready:
        if name in chain:
            circle = " -> ".join([*chain[chain.index(name) :], name])
            remedy = "Let one of them stand on its own."
            fault = Fault(where=start.where, expected="rounds that build on earlier ones", got=circle, remedy=remedy)
            raise Faults([fault])
        chain.append(name)
        name = by_name[name].like
    return chain


def _own_cells(text: RoundText, cells_by_round: dict[str, dict[str, CellText]]) -> dict[str, CellText]:
    under = cells_by_round[text.like] if text.like else {}
    own = {key: replace(cell, lock=False) for key, cell in under.items()}  # a lock is of its own round alone
    for key, cell in text.cells.items():
        own[key] = merge(own[key], cell) if key in own else cell
    return own


def _full(block: BlockText, text: RoundText, own: dict[str, CellText]) -> FullRound:
    cells = []
    for key, column in block.columns.items():
        if key in text.skip:
            continue
        blank = CellText(where=_unwritten(text, key, column) if block.rounds else column.where)
        mine = replace(own.get(key, blank), where=text.cells[key].where if key in text.cells else blank.where)
        cells.append(FullCell(key=key, text=merge(column, mine), own=mine))
    return FullRound(text=text, cells=tuple(cells))


def _unwritten(text: RoundText, key: str, column: CellText) -> Where:
    """The place of a cell that its round says nothing of: the line of its move, the cell's name."""
    return Where(file=text.where.file, line=column.where.line, field=f"{text.where.field}.cell.{key}")


def merge(under: CellText, upper: CellText) -> CellText:
    """`under` with everything that `upper` says on top. Another move or rung drops the levers beneath it."""
    plain = {name: value for name in _PLAIN if (value := getattr(upper, name)) is not None}
    words = {name: value for name in ("name", "entry_test", "cues", "note") if (value := getattr(upper, name))}
    fresh = upper.move is not None or upper.rung is not None
    if fresh:
        parts = {
            "move": upper.move or under.move,
            "rung": upper.rung,
            "levers": upper.levers,
            "add": upper.add,
            "options": upper.options,
            "name": upper.name,
            "entry_test": upper.entry_test,
            "cues": upper.cues or (() if upper.move else under.cues),  # points on another move would mislead
        }
    else:
        parts = {
            "levers": under.levers if upper.levers is None else upper.levers,
            "add": on_top(under.add, upper.add) if upper.levers is None else upper.add,
            "options": {**under.options, **upper.options},
        }
    places = {**under.places, **upper.places}
    lock = under.lock or upper.lock
    return replace(under, where=upper.where, places=places, lock=lock, **{**plain, **words, **parts})
