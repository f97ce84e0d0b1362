"""Wrong tries of codes and passphrases, seen by all studios on one database."""

from sqlalchemy import Engine, delete, select
from sqlalchemy.orm import Session as Work

from everyrung.store.tables import WrongTryTable

KEPT_MS = 24 * 3600 * 1000  # chosen, because nobody waits longer than an hour


class WrongTries:
    """All of one database, by what was tried and from where; times in ms since 1970."""

    def __init__(self, engine: Engine) -> None:
        self._engine = engine

    def times_ms(self, kind: str, address: str, since_ms: int) -> list[int]:
        """Those since then, oldest first."""
        table = WrongTryTable
        query = select(table.at_ms).where(table.kind == kind, table.address == address, table.at_ms >= since_ms)
        with Work(self._engine) as work:
            return list(work.scalars(query.order_by(table.at_ms)))

    def add(self, kind: str, address: str, at_ms: int) -> None:
        """One more; those of a day ago go."""
        with self._writing() as work, work.begin():
            work.add(WrongTryTable(kind=kind, address=address[:100], at_ms=at_ms))
            work.execute(delete(WrongTryTable).where(WrongTryTable.at_ms < at_ms - KEPT_MS))

    def remove(self, kind: str, address: str, at_ms: int) -> None:
        """One of that instant."""
        table = WrongTryTable
        one = select(table.id).where(table.kind == kind, table.address == address, table.at_ms == at_ms).limit(1)
        with self._writing() as work, work.begin():
            work.execute(delete(table).where(table.id.in_(one.scalar_subquery())))

    def forget(self, kind: str, address: str) -> None:
        """All of an address."""
        table = WrongTryTable
        with self._writing() as work, work.begin():
            work.execute(delete(table).where(table.kind == kind, table.address == address))

    def _writing(self) -> Work:
        return Work(self._engine.execution_options(writes=True))
