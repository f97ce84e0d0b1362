"""What resolving carries along: the plan, the library, the clock, the defaults taken and the faults met."""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TypeVar

from everyrung.moves.library import Library
from everyrung.terms.clock import Clock
from everyrung.terms.fault import Fault, Invalid, Where
from everyrung.terms.plan import Plan
from everyrung.terms.session import Default

T = TypeVar("T")


class Undecided(Exception):
    """A cell could not be decided; its fault is recorded."""


@dataclass(slots=True, kw_only=True)
class Deciding:
    """Mutable on purpose: one resolving fills it, then it is thrown away."""

    plan: Plan
    library: Library
    clock: Clock
    defaults: list[Default] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)

    def took(self, where: Where, name: str, value: object, why: str) -> None:
        """Notes a default that was taken, for `--explain`."""
        self.defaults.append(Default(where=where, field=name, value=str(value), why=why))

    def refuse(self, where: Where, problem: Invalid) -> None:
        """Records a fault in the field that `problem` names."""
        place = Where(file=where.file, line=where.line, field=f"{where.field}.{problem.field}".rstrip("."))
        self.faults.append(
            Fault(
                where=place,
                expected=problem.expected,
                got=str(problem.got),
                nearest=problem.nearest,
                remedy=problem.remedy,
            )
        )

    def trying(self, where: Where, make: Callable[[], T]) -> T:
        """`make()`, or Undecided with its Invalid recorded as a fault."""
        try:
            return make()
        except Invalid as problem:
            self.refuse(where, problem)
            raise Undecided from None
