"""A plan's run, which all changes are made from; with a finding of it, the case that candidates for its remedy are made
from; and a remedy: edits of a plan, with the words of the button that does them.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

from everyrung.checks.cells import every_cell
from everyrung.moves.library import Library
from everyrung.plan.inheritance import full_rounds
from everyrung.results.analysis import Analysis
from everyrung.terms.edit import OneEdit, Several
from everyrung.terms.enums import Caution
from everyrung.terms.finding import Finding
from everyrung.terms.plan import CellText, Ref
from everyrung.terms.session import Cell, Session


@dataclass(frozen=True, kw_only=True)
class PlanRun:
    """A plan that was run, with the library that it was run with. `wall_people`: by a rung's address, how many the
    walls of the room hold at once; as many as come where it is not there.
    """

    run: Analysis
    library: Library
    wall_people: Mapping[str, int] = field(default_factory=dict)

    @property
    def session(self) -> Session:
        return self.run.session

    @property
    def cautions(self) -> frozenset[Caution]:
        """The cautions in question: of those who may come."""
        return frozenset(self.session.who.limits)

    @property
    def own_cautions(self) -> frozenset[Caution]:
        """The cautions that a change is about: none."""
        return frozenset()

    def column(self, cell: Cell) -> tuple[Cell, ...]:
        """Every round's cell of the same column."""
        key = (cell.ref.block, cell.ref.cell)
        return tuple(each for each in every_cell(self.session) if (each.ref.block, each.ref.cell) == key)

    def before(self, cell: Cell) -> Cell | None:
        """The same column's cell in the last round that had it."""
        column = self.column(cell)
        at = column.index(cell)
        return column[at - 1] if at else None

    def text(self, cell: Cell) -> CellText:
        """What the plan says of a cell, with all that it takes from its column and the rounds before."""
        return self._texts[cell.ref]

    def has_lever(self, cell: Cell) -> bool:
        """Whether a cell says a lever on top of its rung that can be taken off again."""
        own = self._own.get(cell.ref)
        return bool(own and (own.add or own.levers))

    @cached_property
    def _own(self) -> dict[Ref, CellText]:
        """What rounds, or blocks without any, say of their cells themselves."""
        cells = {
            Ref(block=block.name, round=each.name, cell=key): cell
            for block in self.run.plan.blocks
            for each in block.rounds
            for key, cell in each.cells.items()
        }
        once = (block for block in self.run.plan.blocks if not block.rounds)
        return cells | {
            Ref(block=block.name, round=block.name, cell=key): cell
            for block in once
            for key, cell in block.columns.items()
        }

    @cached_property
    def _texts(self) -> dict[Ref, CellText]:
        return {
            Ref(block=block.name, round=each.text.name, cell=cell.key): cell.text
            for block in self.run.plan.blocks
            for each in full_rounds(block)
            for cell in each.cells
        }


@dataclass(frozen=True, kw_only=True)
class Case(PlanRun):
    """One finding of one run."""

    finding: Finding

    @property
    def cells(self) -> tuple[Cell, ...]:
        """The cells that the finding names, be it by themselves, by their round or by their block."""
        refs = set(self.finding.places)
        return tuple(
            cell
            for cell in every_cell(self.session)
            if {cell.ref, Ref(block=cell.ref.block, round=cell.ref.round), Ref(block=cell.ref.block)} & refs
        )

    @property
    def columns(self) -> tuple[tuple[Cell, ...], ...]:
        """The same, by block and column."""
        columns: dict[tuple[str, str], list[Cell]] = {}
        for cell in self.cells:
            columns.setdefault((cell.ref.block, cell.ref.cell), []).append(cell)
        return tuple(map(tuple, columns.values()))

    @property
    def cautions(self) -> frozenset[Caution]:
        """The cautions in question: of those who may come, and the finding's own."""
        return frozenset(self.session.who.limits) | self.own_cautions

    @property
    def own_cautions(self) -> frozenset[Caution]:
        """The cautions that the finding is about."""
        return frozenset(caution for caution in Caution if caution in self.finding.what.split(", "))


@dataclass(frozen=True, slots=True, kw_only=True)
class Remedy:
    """What one press does. `silent`: the session stays as it is, only the finding goes.

    Of one `family`, the same change by more or less, only the first that holds is offered; '' is no family.
    """

    words: str
    edits: tuple[OneEdit, ...]
    silent: bool = False
    family: str = ""

    @property
    def edit(self) -> Several:
        """All of it as one edit of the plan."""
        return Several(edits=self.edits, words=self.words)
