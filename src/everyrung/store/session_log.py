"""Sessions as they were really led: times, skips and cuts, kept for looking back."""

from dataclasses import dataclass

from sqlalchemy import Engine, select
from sqlalchemy.orm import Session as Work

from everyrung.store.sessions import NotThere
from everyrung.store.tables import LedTable, SessionTable


@dataclass(frozen=True, slots=True, kw_only=True)
class Led:
    """One time that a session was led; `log` is the stage's JSON."""

    id: str
    session: str
    revision: int
    started_ms: int
    log: str


class LedSessions:
    """All of one database."""

    def __init__(self, engine: Engine) -> None:
        self._engine = engine

    def keep(self, led: Led) -> None:
        """A log, or what has been added to one since. Raises NotThere for a session that is not."""
        with Work(self._engine.execution_options(writes=True)) as work, work.begin():
            if work.get(SessionTable, led.session) is None:
                raise NotThere("There is no such session.")
            row = work.get(LedTable, led.id)
            if row is None:
                row = LedTable(id=led.id, session_id=led.session, revision=led.revision, started_ms=led.started_ms)
                work.add(row)
            elif row.session_id != led.session:
                raise NotThere("There is no such log of this session.")
            row.log = led.log

    def of(self, session: str) -> tuple[Led, ...]:
        """Those of one session, the latest first."""
        with Work(self._engine) as work:
            wanted = select(LedTable).where(LedTable.session_id == session).order_by(LedTable.started_ms.desc())
            return tuple(
                Led(id=row.id, session=row.session_id, revision=row.revision, started_ms=row.started_ms, log=row.log)
                for row in work.scalars(wanted)
            )
