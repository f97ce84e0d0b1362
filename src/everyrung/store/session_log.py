"""Sessions as they were really led: times, skips and cuts, kept for looking back."""

import json
from dataclasses import dataclass

from sqlalchemy import Engine, delete, select
from sqlalchemy.orm import Session as Work

from everyrung.store.sessions import NotFound
from everyrung.store.tables import LedSourceTable, SessionLogTable, SessionTable


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionLog:
    """One time that a session was led; `log` is the stage's JSON, `notes` the coach's own words about it."""

    id: str
    session: str
    revision: int
    started_ms: int
    log: str
    notes: str = ""


class SessionLogs:
    """All of one database."""

    def __init__(self, engine: Engine) -> None:
        self._engine = engine

    def keep(self, log: SessionLog) -> None:
        """A log, or what has been added to one since; one that is older than what is kept changes nothing. Raises
        NotFound for a session that is not.
        """
        with Work(self._engine.execution_options(writes=True)) as work, work.begin():
            if work.get(SessionTable, log.session) is None:
                raise NotFound("There is no such session.")
            row = work.get(SessionLogTable, log.id)
            if row is None:
                row = SessionLogTable(
                    id=log.id, session_id=log.session, revision=log.revision, started_ms=log.started_ms
                )
                work.add(row)
            elif row.session_id != log.session:
                raise NotFound("There is no such log of this session.")
            if row.log is None or _count(row.log) <= _count(log.log):
                row.log = log.log

    def note(self, session: str, name: str, notes: str) -> None:
        """The coach's notes about a show, in place of those before. Raises NotFound for a log that is not."""
        with Work(self._engine.execution_options(writes=True)) as work, work.begin():
            row = work.get(SessionLogTable, name)
            if row is None or row.session_id != session:
                raise NotFound("There is no such log of this session.")
            row.notes = notes

    def remove(self, session: str, name: str) -> None:
        """A log, its notes and what else there is of the show, for good. Raises NotFound for one that is not."""
        with Work(self._engine.execution_options(writes=True)) as work, work.begin():
            row = work.get(SessionLogTable, name)
            if row is None or row.session_id != session:
                raise NotFound("There is no such log of this session.")
            work.execute(delete(LedSourceTable).where(LedSourceTable.led_id == name))
            work.delete(row)

    def of(self, session: str) -> tuple[SessionLog, ...]:
        """Those of one session, the latest first."""
        return self.all(session) if session else ()

    def all(self, session: str = "") -> tuple[SessionLog, ...]:
        """Those of every session, or of one, the latest first."""
        with Work(self._engine) as work:
            query = select(SessionLogTable).order_by(SessionLogTable.started_ms.desc())
            query = query.where(SessionLogTable.session_id == session) if session else query
            return tuple(
                SessionLog(
                    id=row.id,
                    session=row.session_id,
                    revision=row.revision,
                    started_ms=row.started_ms,
                    log=row.log,
                    notes=row.notes,
                )
                for row in work.scalars(query)
            )


def _count(log: str) -> int:
    """How many things a log says; those of one show only ever grow."""
    return len(json.loads(log)["events"])
