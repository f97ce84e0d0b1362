"""Rungs that the coach built, kept for her next plans."""

import json
from dataclasses import dataclass

from sqlalchemy import Engine, select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session as Work

from everyrung.store.rows import remove_row
from everyrung.store.tables import OwnRungTable
from everyrung.terms.errors import Invalid


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnRung:
    """A rung of a move with levers of her own on top; `levers` is JSON of what a plan file has."""

    id: int = 0
    move: str
    rung: str
    levers: str
    name: str
    entry_test: str

    @property
    def tables(self) -> tuple[str, ...]:
        """Each lever's table, as JSON of its own."""
        return tuple(map(json.dumps, json.loads(self.levers)))


class OwnRungs:
    """The coach's own rungs of one database."""

    def __init__(self, engine: Engine) -> None:
        self._engine = engine

    def all(self) -> tuple[OwnRung, ...]:
        """Every one, by name."""
        with Work(self._engine) as work:
            return tuple(map(_read, work.scalars(select(OwnRungTable).order_by(OwnRungTable.name))))

    def of(self, move: str) -> tuple[OwnRung, ...]:
        """Those of one move, by name."""
        return tuple(each for each in self.all() if each.move == move)

    def keep(self, rung: OwnRung) -> None:
        """One more. Raises Invalid for a name that the move has already."""
        try:
            with Work(self._engine.execution_options(writes=True)) as work, work.begin():
                work.add(
                    OwnRungTable(
                        move=rung.move, rung=rung.rung, levers=rung.levers, name=rung.name, entry_test=rung.entry_test
                    )
                )
        except IntegrityError:
            raise Invalid("name", f"a name of its own among your rungs of {rung.move}", rung.name) from None

    def remove(self, key: int) -> None:
        """One less. Raises NotThere."""
        remove_row(self._engine, OwnRungTable, key, "There is no such rung.")


def _read(row: OwnRungTable) -> OwnRung:
    return OwnRung(id=row.id, move=row.move, rung=row.rung, levers=row.levers, name=row.name, entry_test=row.entry_test)
