"""The coach's own cues and rungs."""

import json
from dataclasses import asdict, dataclass

from sqlalchemy import Engine, select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session as Work

from everyrung.store.sessions import NotFound
from everyrung.store.tables import OwnCueTable, OwnRungTable
from everyrung.terms.enums import CueKind
from everyrung.terms.errors import Invalid
from everyrung.terms.timeline import OwnCue


def remove_row(engine: Engine, table: type[OwnCueTable] | type[OwnRungTable], key: int, message: str) -> None:
    """Raises NotFound with the words of `message` when there is none."""
    with Work(engine.execution_options(writes=True)) as work, work.begin():
        row = work.get(table, key) if 0 < key < 2**31 else None
        if row is None:
            raise NotFound(message)
        work.delete(row)


class OwnCues:
    """The coach's own cues of one database, in the order in which she wrote them."""

    def __init__(self, engine: Engine) -> None:
        self._engine = engine

    def all(self) -> tuple[OwnCue, ...]:
        """Every one."""
        return tuple(self.by_id().values())

    def by_id(self) -> dict[int, OwnCue]:
        """Every one, by the number that removes it."""
        with Work(self._engine) as work:
            return {row.id: _cue(row) for row in work.scalars(select(OwnCueTable).order_by(OwnCueTable.id))}

    def keep(self, cue: OwnCue) -> None:
        """One more. Raises Invalid for one that is there already."""
        try:
            with Work(self._engine.execution_options(writes=True)) as work, work.begin():
                work.add(OwnCueTable(**asdict(cue) | {"kind": str(cue.kind)}))
        except IntegrityError:
            raise Invalid("text", "words that are not among yours already", cue.text) from None

    def remove(self, key: int) -> None:
        """One less. Raises NotFound."""
        remove_row(self._engine, OwnCueTable, key, "These words are not there any more.")


def _cue(row: OwnCueTable) -> OwnCue:
    return OwnCue(move=row.move, rung=row.rung, kind=CueKind(row.kind), text=row.text)


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
            return tuple(map(_rung, work.scalars(select(OwnRungTable).order_by(OwnRungTable.name))))

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
        """One less. Raises NotFound."""
        remove_row(self._engine, OwnRungTable, key, "There is no such rung.")


def _rung(row: OwnRungTable) -> OwnRung:
    return OwnRung(id=row.id, move=row.move, rung=row.rung, levers=row.levers, name=row.name, entry_test=row.entry_test)
