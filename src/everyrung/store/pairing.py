"""Which phones may steer a session: its code, and the phones that were paired by it, both kept over a restart."""

import secrets
import time
from hashlib import sha256

from sqlalchemy import Engine, delete, func, select
from sqlalchemy.orm import Session as Work

from everyrung.store.sessions import NotFound
from everyrung.store.tables import PairingTable, PhoneTable, SessionTable

CODE_DIGITS = 6  # chosen, because that is typed in one go, and a million takes years at the pace of wrong ones


class Pairings:
    """All of one database. A phone's token is kept as its SHA-256 alone: 32 random bytes need no slower hash."""

    def __init__(self, engine: Engine) -> None:
        self._engine = engine

    def code(self, session: str) -> str:
        """The session's code; made when it is first asked for. Raises NotFound for a session that is not."""
        with Work(self._engine) as work:
            old_row = work.get(PairingTable, session)
            if old_row:
                return old_row.code
        with Work(self._engine.execution_options(writes=True)) as work, work.begin():
            if work.get(SessionTable, session) is None:
                raise NotFound("There is no such session.")
            row = work.get(PairingTable, session) or PairingTable(session_id=session, code=_code())
            work.add(row)
            return row.code

    def pair(self, session: str, token: str) -> None:
        """The phone that has this token may steer this session from now on."""
        with Work(self._engine.execution_options(writes=True)) as work, work.begin():
            if work.get(PhoneTable, (session, _digest(token))) is None:
                now_ms = int(time.time() * 1000)
                work.add(PhoneTable(session_id=session, digest=_digest(token), paired_ms=now_ms))

    def is_paired(self, session: str, token: str) -> bool:
        """Whether it may."""
        with Work(self._engine) as work:
            return work.get(PhoneTable, (session, _digest(token))) is not None

    def count(self, session: str) -> int:
        """How many phones are paired."""
        with Work(self._engine) as work:
            query = select(func.count()).select_from(PhoneTable).where(PhoneTable.session_id == session)
            return work.scalar(query) or 0

    def revoke(self, session: str) -> None:
        """No phone may steer it any more, and its code is another one."""
        with Work(self._engine.execution_options(writes=True)) as work, work.begin():
            work.execute(delete(PhoneTable).where(PhoneTable.session_id == session))
            work.execute(delete(PairingTable).where(PairingTable.session_id == session))


def _code() -> str:
    return f"{secrets.randbelow(10**CODE_DIGITS):0{CODE_DIGITS}}"


def _digest(token: str) -> str:
    return sha256(token.encode()).hexdigest()
