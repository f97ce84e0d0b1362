"""What a coach does to a plan on screen: a closed set of edits, each with words for the list of versions."""

from dataclasses import dataclass
from typing import Any

from everyrung.terms.plan import Ref
from everyrung.terms.vocabulary import BlockKind

Value = Any  # what a plan file holds: text, a number, a truth value, a list or a table of those


@dataclass(frozen=True, slots=True, kw_only=True)
class SetHead:
    """A field of the plan's head, or of its `who` table ('who.in_room'); None leaves it to the default."""

    field: str
    value: Value

    def __str__(self) -> str:
        return f"{_said(self.field.removeprefix('who.'))}: {_shown(self.value)}"


@dataclass(frozen=True, slots=True, kw_only=True)
class SetPart:
    """A field of a block ('say', 'talk', 'rest', 'round_rest') or of one of its rounds ('rest')."""

    ref: Ref
    field: str
    value: Value

    def __str__(self) -> str:
        return f"{self.ref}: {_said(self.field)} {_shown(self.value)}"


@dataclass(frozen=True, slots=True, kw_only=True)
class SetCell:
    """A field of one cell, or with `column` of its move in every round: 'dose', 'options.easier', ...

    None leaves it to the default.
    """

    ref: Ref
    field: str
    value: Value
    column: bool = False

    def __str__(self) -> str:
        return f"{_place(self.ref, column=self.column)}: {_said(self.field)} {_shown(self.value)}"


@dataclass(frozen=True, slots=True, kw_only=True)
class TakeRung:
    """Another rung for a cell, or with `column` for its move in every round; levers of the coach's own on top.

    `move`: of another move, in one cell only. What the cell said on top of its old rung is dropped.
    """

    ref: Ref
    rung: str
    levers: Value = ()
    name: str = ""
    entry_test: str = ""
    column: bool = False
    move: str = ""

    def __str__(self) -> str:
        return f"{_place(self.ref, column=self.column)}: rung {self.name or self.rung}"


@dataclass(frozen=True, slots=True, kw_only=True)
class AddLever:
    """One lever more in a cell, or in every cell of a round that can take it."""

    ref: Ref
    lever: Value

    def __str__(self) -> str:
        return f"{self.ref}: {' '.join(f'{word} {_shown(value)}' for word, value in self.lever.items())} added"


@dataclass(frozen=True, slots=True, kw_only=True)
class DropLever:
    """The last lever that a cell says on top of its rung taken off again."""

    ref: Ref

    def __str__(self) -> str:
        return f"{self.ref}: last change taken off"


@dataclass(frozen=True, slots=True, kw_only=True)
class AddRound:
    """A round at the end of a block, at first the same as the one before."""

    block: str

    def __str__(self) -> str:
        return f"{self.block}: a round more"


@dataclass(frozen=True, slots=True, kw_only=True)
class RemoveRound:
    """A round taken out; rounds that build on it keep what they took from it."""

    ref: Ref

    def __str__(self) -> str:
        return f"{self.ref} taken out"


@dataclass(frozen=True, slots=True, kw_only=True)
class AddMove:
    """A move at the end of a block, in all its rounds."""

    block: str
    move: str

    def __str__(self) -> str:
        return f"{self.block}: {self.move} added"


@dataclass(frozen=True, slots=True, kw_only=True)
class RemoveMove:
    """A move taken out of all rounds of a block."""

    block: str
    cell: str

    def __str__(self) -> str:
        return f"{self.block}: {self.cell} taken out"


@dataclass(frozen=True, slots=True, kw_only=True)
class ShiftMove:
    """A move brought to another place in its block; `to` counts from 0."""

    block: str
    cell: str
    to: int

    def __str__(self) -> str:
        return f"{self.block}: {self.cell} moved to place {self.to + 1}"


@dataclass(frozen=True, slots=True, kw_only=True)
class SkipCell:
    """A cell left out of one round, or taken in again."""

    ref: Ref
    skip: bool

    def __str__(self) -> str:
        return f"{self.ref} {'left out' if self.skip else 'taken in again'}"


@dataclass(frozen=True, slots=True, kw_only=True)
class AddBlock:
    """A block of a kind, where blocks of that kind belong."""

    kind: BlockKind
    move: str

    def __str__(self) -> str:
        return f"{str(self.kind).capitalize()} added"


@dataclass(frozen=True, slots=True, kw_only=True)
class RemoveBlock:
    """A whole block taken out."""

    block: str

    def __str__(self) -> str:
        return f"{self.block} taken out"


@dataclass(frozen=True, slots=True, kw_only=True)
class AddKit:
    """One more entry of kit, as a plan file has it."""

    stock: Value

    def __str__(self) -> str:
        return f"Kit: {self.stock.get('mass') or self.stock.get('diameter') or ''} {self.stock.get('item')} added"


@dataclass(frozen=True, slots=True, kw_only=True)
class RemoveKit:
    """The kit entry at a place, counted from 0."""

    at: int

    def __str__(self) -> str:
        return f"Kit: entry {self.at + 1} taken out"


@dataclass(frozen=True, slots=True, kw_only=True)
class Several:
    """Edits that only make sense together, one after the other, under words of their own."""

    edits: "tuple[OneEdit, ...]"
    words: str

    def __str__(self) -> str:
        return self.words


OneEdit = (
    SetHead
    | SetPart
    | SetCell
    | TakeRung
    | AddLever
    | DropLever
    | AddRound
    | RemoveRound
    | AddMove
    | RemoveMove
    | ShiftMove
    | SkipCell
    | AddBlock
    | RemoveBlock
    | AddKit
    | RemoveKit
)
Edit = OneEdit | Several


def _place(ref: Ref, *, column: bool) -> str:
    return f"{ref.block}, every round/{ref.cell}" if column else str(ref)


def _said(field: str) -> str:
    return field.replace("options.", "option ").replace("_", " ")


def _shown(value: Value) -> str:
    if value is None:
        return "left open"
    if isinstance(value, dict):
        return str(value.get("name") or value.get("rung") or "own")
    if isinstance(value, list):
        return ", ".join(map(str, value)) or "none"
    words = " ".join(str(value).split())
    return words if len(words) <= 60 else words[:59] + "…"
