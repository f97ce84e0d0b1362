"""Stages of several studios on one database: one studio holds each, the others pass on; and the post between them."""

import time
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Engine, delete, insert, select, text
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session as Work

from everyrung.store.sessions import NotFound
from everyrung.store.studios import Studios, running
from everyrung.store.tables import MessageTable, SessionTable, StageTable

CHANNEL = "everyrung_message"  # of PostgreSQL's NOTIFY
POLL_S = 0.05  # of SQLite, which tells nobody; chosen, because a press that takes effect within a tenth is at once


class Stages:
    """Which studio holds the stage of a session."""

    def __init__(self, engine: Engine, studios: Studios) -> None:
        self._engine, self._studios = engine, studios

    def holder(self, session: str) -> str:
        """The studio that holds it: the one that did, while it runs, else this one from now on. Raises NotFound for a
        session that is not.
        """
        try:
            return self._holder(session)
        except IntegrityError:  # another one took it in the same instant
            return self._holder(session)

    def _holder(self, session: str) -> str:
        with Work(self._engine.execution_options(writes=True)) as work, work.begin():
            row = work.get(StageTable, session, with_for_update=True)
            if row is None and work.get(SessionTable, session) is None:
                raise NotFound("There is no such session.")
            if row is None:
                row = StageTable(session_id=session, studio_id=self._studios.name)
                work.add(row)
            elif row.studio_id not in running(work):
                row.studio_id = self._studios.name
            return row.studio_id

    def own(self) -> frozenset[str]:
        """The sessions whose stage this studio holds."""
        with Work(self._engine) as work:
            query = select(StageTable.session_id).where(StageTable.studio_id == self._studios.name)
            return frozenset(work.scalars(query))


@dataclass(frozen=True, slots=True)
class Letter:
    """Something for another studio."""

    to: str
    body: str


class Post:
    """Letters between studios, read in the order in which each of them wrote; for one reader and one writer at a time.

    PostgreSQL says when there is one (NOTIFY); SQLite is looked into every POLL_S.
    """

    def __init__(self, engine: Engine, studios: Studios) -> None:
        self._engine, self._studios = engine, studios
        self._listening: Any = None

    def send(self, letters: Sequence[Letter]) -> None:
        """All of them at once; those to a studio that runs no more are thrown away."""
        with Work(self._engine.execution_options(writes=True)) as work, work.begin():
            there = running(work)
            rows = [{"studio_id": each.to, "body": each.body} for each in letters if each.to in there]
            if not rows:
                return
            self._hurry(work)
            work.execute(insert(MessageTable), rows)
            if self._notifies:
                for name in dict.fromkeys(row["studio_id"] for row in rows):
                    work.execute(text("SELECT pg_notify(:channel, :name)"), {"channel": CHANNEL, "name": name})

    def take(self) -> list[str]:
        """What there is for this studio."""
        mine = MessageTable.studio_id == self._studios.name
        with Work(self._engine) as work:
            if work.scalar(select(MessageTable.id).where(mine).limit(1)) is None:
                return []
        with Work(self._engine.execution_options(writes=True)) as work, work.begin():
            self._hurry(work)
            rows = work.execute(delete(MessageTable).where(mine).returning(MessageTable.id, MessageTable.body)).all()
        return [body for _, body in sorted(rows)]

    def wait(self, at_most_s: float) -> None:
        """Until there may be something, or the time is over."""
        if not self._notifies:
            time.sleep(min(POLL_S, at_most_s))
            return
        for note in self._listener().notifies(timeout=at_most_s):
            if note.payload == self._studios.name:
                return

    def tidy(self) -> None:
        """Throws away what is for studios that run no more."""
        with Work(self._engine.execution_options(writes=True)) as work, work.begin():
            work.execute(delete(MessageTable).where(MessageTable.studio_id.not_in(running(work))))

    def close(self) -> None:
        """No more listening."""
        if self._listening is not None:
            self._listening.close()
            self._listening = None

    def _hurry(self, work: Work) -> None:
        """A letter is worth no wait for the disk."""
        if self._notifies:
            work.execute(text("SET LOCAL synchronous_commit = off"))

    @property
    def _notifies(self) -> bool:
        return self._engine.dialect.name == "postgresql"

    def _listener(self) -> Any:
        """A connection of its own to PostgreSQL, which hears what is said on the channel; a new one for a lost one."""
        if self._listening is None or self._listening.closed:
            raw = self._engine.raw_connection()
            connection: Any = raw.driver_connection
            raw.detach()  # the pool has no more to do with it
            connection.autocommit = True
            connection.execute(f"LISTEN {CHANNEL}")
            self._listening = connection
        return self._listening
