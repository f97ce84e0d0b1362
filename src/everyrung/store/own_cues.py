"""Words of the coach's own, kept for all her sessions."""

from dataclasses import asdict

from sqlalchemy import Engine, select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session as Work

from everyrung.store.rows import remove_row
from everyrung.store.tables import OwnCueTable
from everyrung.terms.enums import CueKind
from everyrung.terms.errors import Invalid
from everyrung.terms.timeline import OwnCue


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
            return {row.id: _read(row) for row in work.scalars(select(OwnCueTable).order_by(OwnCueTable.id))}

    def keep(self, cue: OwnCue) -> None:
        """One more. Raises Invalid for one that is there already."""
        try:
            with Work(self._engine.execution_options(writes=True)) as work, work.begin():
                work.add(OwnCueTable(**asdict(cue) | {"kind": str(cue.kind)}))
        except IntegrityError:
            raise Invalid("text", "words that are not among yours already", cue.text) from None

    def remove(self, key: int) -> None:
        """One less. Raises NotThere."""
        remove_row(self._engine, OwnCueTable, key, "These words are not there any more.")


def _read(row: OwnCueTable) -> OwnCue:
    return OwnCue(move=row.move, rung=row.rung, kind=CueKind(row.kind), text=row.text)
