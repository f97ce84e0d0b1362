"""What a coach does to a plan on screen: a closed set of edits."""

from typing import Any

from everyrung.terms.enums import BlockKind
from everyrung.terms.frozen import dataclass
from everyrung.terms.plan import Ref

Value = Any  # what a plan file holds: text, a number, a truth value, a list or a table of those


@dataclass(frozen=True, slots=True, kw_only=True)
class SetHead:
    """A field of the plan's head, or of its `who` table ('who.in_room'); None leaves it to the default."""

    field: str
    value: Value


@dataclass(frozen=True, slots=True, kw_only=True)
class SetPart:
    """A field of a block ('say', 'talk', 'rest', 'round_rest', 'waves') or of one of its rounds ('rest')."""

    ref: Ref
    field: str
    value: Value


@dataclass(frozen=True, slots=True, kw_only=True)
class SetCell:
    """A field of one cell, or with `column` of its move in every round: 'dose', 'options.easier', ...

    None leaves it to the default.
    """

    ref: Ref
    field: str
    value: Value
    column: bool = False


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


@dataclass(frozen=True, slots=True, kw_only=True)
class AddLever:
    """Add a lever in a cell, or in every cell of a round that can take it."""

    ref: Ref
    lever: Value


@dataclass(frozen=True, slots=True, kw_only=True)
class DropLever:
    """The last lever that a cell says on top of its rung taken off again."""

    ref: Ref


@dataclass(frozen=True, slots=True, kw_only=True)
class AddRound:
    """A round at the end of a block, at first the same as the one before."""

    block: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RemoveRound:
    """A round taken out; rounds that build on it keep what they took from it."""

    ref: Ref


@dataclass(frozen=True, slots=True, kw_only=True)
class AddMove:
    """A move at the end of a block, in all its rounds."""

    block: str
    move: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RemoveMove:
    """A move taken out of all rounds of a block."""

    block: str
    cell: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ShiftMove:
    """A move brought to another place in its block; `to` counts from 0."""

    block: str
    cell: str
    to: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SkipCell:
    """A cell left out of one round, or taken in again."""

    ref: Ref
    skip: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class AddBlock:
    """A block of a kind, where blocks of that kind belong."""

    kind: BlockKind
    move: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RemoveBlock:
    """A whole block taken out."""

    block: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AddKit:
    """One more entry of kit, as a plan file has it."""

    stock: Value


@dataclass(frozen=True, slots=True, kw_only=True)
class RemoveKit:
    """The kit entry at a place, counted from 0."""

    at: int


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
