"""The studios that work on one database: each says that it runs, and sees which others do."""

import secrets
import time

from sqlalchemy import Engine, delete, select
from sqlalchemy.orm import Session as Work

from everyrung.store.tables import StudioTable

BEAT_S = 2.0  # between two signs of life; chosen, because who waits for a dead one's work waits three of them
GONE_S = 3 * BEAT_S


class Studios:
    """This studio, under a `name` of its own, among those of one database. Their clocks may differ by a second."""

    def __init__(self, engine: Engine) -> None:
        self._engine, self.name = engine, secrets.token_urlsafe(12)
        self.beat()

    def beat(self) -> None:
        """This one runs; those that have not said so for an hour are forgotten."""
        now_ms = time.time_ns() // 1_000_000
        with Work(self._engine.execution_options(writes=True)) as work, work.begin():
            work.merge(StudioTable(id=self.name, beat_ms=now_ms))
            work.execute(delete(StudioTable).where(StudioTable.beat_ms < now_ms - 3_600_000))

    def leave(self) -> None:
        """This one ends."""
        with Work(self._engine.execution_options(writes=True)) as work, work.begin():
            work.execute(delete(StudioTable).where(StudioTable.id == self.name))

    def running(self) -> frozenset[str]:
        """The names of all that run."""
        with Work(self._engine) as work:
            return running(work)


def running(work: Work) -> frozenset[str]:
    """The names of all studios that run, as this piece of work sees them."""
    since_ms = time.time_ns() // 1_000_000 - int(GONE_S * 1000)
    return frozenset(work.scalars(select(StudioTable.id).where(StudioTable.beat_ms > since_ms)))
