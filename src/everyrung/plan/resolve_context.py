"""What resolving carries along: the plan, the library, the clock, the defaults taken and the faults met; for one cell,
only what it depends on, so that a cell that says the same again is not decided again."""

from collections.abc import Callable, Iterable
from dataclasses import field, replace
from typing import TypeVar

from everyrung.moves.library import Library
from everyrung.terms.enums import Caution, SideRule
from everyrung.terms.errors import Fault, Invalid, Where, fault_at
from everyrung.terms.frozen import dataclass
from everyrung.terms.lever import LEVER_WORDS
from everyrung.terms.plan import CellText, Plan, Stock
from everyrung.terms.session import Clock, Default

T = TypeVar("T")


class UnresolvedCell(Exception):
    """A cell could not be decided; its fault is recorded."""


@dataclass(slots=True, kw_only=True)
class ResolveContext:
    """What one resolving fills: defaults that were taken, faults that were met. Mutable on purpose: then it is thrown
    away.
    """

    plan: Plan
    library: Library
    clock: Clock
    sides: SideRule
    defaults: list[Default] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)

    def note_default(self, where: Where, name: str, value: object, why: str) -> None:
        """Notes a default that was taken, for `--explain`."""
        self.defaults.append(Default(where=where, field=name, value=str(value), why=why))

    def note_defaults_again(self, where: Where, defaults: Iterable[Default]) -> None:
        """Defaults of something that says the same as something decided before, and stands here."""
        self.defaults.extend(replace(each, where=where) for each in defaults)

    def refuse(self, where: Where, problem: Invalid) -> None:
        """Records a fault, once however many rounds inherit it."""
        fault = fault_at(where, problem)
        if fault not in self.faults:
            self.faults.append(fault)

    def attempt(self, text: CellText, make: Callable[[], T]) -> T:
        """What `make` gives. Raises UnresolvedCell where it raises Invalid, which is recorded where the cell's field is
        written.
        """
        try:
            return make()
        except Invalid as problem:
            self.refuse(place(text, problem.field), problem)
            raise UnresolvedCell from None


@dataclass(frozen=True, slots=True, kw_only=True)
class CellSetting:
    """All that a cell depends on beside its own words; `rest_ms` is the rest after it, unless it says another."""

    library: Library
    kit: tuple[Stock, ...]
    limits: tuple[Caution, ...]
    sides: SideRule
    round_number: int
    rest_ms: int


@dataclass(slots=True, kw_only=True)
class CellContext:
    """Mutable on purpose, as ResolveContext: deciding one cell fills it."""

    setting: CellSetting
    where: Where
    defaults: list[Default] = field(default_factory=list)

    def note_default(self, name: str, value: object, why: str) -> None:
        """Notes a default that was taken for this cell."""
        self.defaults.append(Default(where=self.where, field=name, value=str(value), why=why))


def place(text: CellText, field_name: str) -> Where:
    """Where a field of a cell is written: in the cell, in a round it is like, or in its column;
    else where the cell is.
    """
    root = field_name.split(".")[0]
    for name in (field_name, root):
        if name in text.places:
            return text.places[name]
    if root in LEVER_WORDS:
        return text.places.get("add") or text.places.get("levers") or text.places.get("rung") or text.where
    return text.where
