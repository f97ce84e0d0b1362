"""Sessions and their revisions: every save is kept, and none overwrites what it has not seen."""

import secrets
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Engine, Select, func, select
from sqlalchemy.orm import Session as Work

from everyrung.store.tables import RevisionTable, SessionTable
from everyrung.terms.errors import Invalid


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionRow:
    """A line of the list; `head` is the number of the current revision."""

    id: str
    title: str
    slot_minutes: int
    archived: bool
    updated_ms: int
    head: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Revision:
    """One version of a session's text; `parent` is the number it was made from, `what` says what was done."""

    session: str
    number: int
    parent: int | None
    text: str
    title: str
    slot_minutes: int
    what: str
    at_ms: int


@dataclass(frozen=True, slots=True, kw_only=True)
class RevisionRow:
    """A revision without its text."""

    number: int
    parent: int | None
    what: str
    at_ms: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """What is to become a revision."""

    text: str
    title: str
    slot_minutes: int
    what: str


class NotFound(LookupError):
    """No session, or no revision, of that name."""


class Conflict(Exception):
    """Somebody saved in between: nothing was written. `head` is what is current now."""

    def __init__(self, head: Revision) -> None:
        super().__init__(f"revision {head.number} is current now")
        self.head = head


class Sessions:
    """The sessions of one database."""

    def __init__(self, engine: Engine) -> None:
        self._engine = engine

    def all(self, *, in_archive: bool = False, first: int = 0, most: int | None = None) -> tuple[SessionRow, ...]:
        """The list, latest first; `most` of them from the one at place `first` (from 0) on, or all."""
        query = select(SessionTable).where(SessionTable.archived.is_(in_archive))
        latest = query.order_by(SessionTable.updated_ms.desc(), SessionTable.id)
        with Work(self._engine) as work:
            return tuple(_row(each) for each in work.scalars(latest.offset(first).limit(most)))

    def count(self, *, in_archive: bool = False) -> int:
        """How long that list is."""
        query = select(func.count()).select_from(SessionTable).where(SessionTable.archived.is_(in_archive))
        with Work(self._engine) as work:
            return work.scalar(query) or 0

    def session(self, key: str) -> SessionRow:
        """One line of the list. Raises NotFound."""
        with Work(self._engine) as work:
            return _row(_row_of(work, key))

    def create(self, draft: Draft) -> SessionRow:
        """A new session with its first revision."""
        with self._writing() as work:
            row = SessionTable(
                id=secrets.token_urlsafe(9), title=_cut(draft.title, 200), slot_minutes=draft.slot_minutes,
                archived=False, updated_ms=_now_ms(), head=1,
            )  # fmt: skip
            work.add(row)
            work.flush()
            work.add(_revision(row.id, 1, None, draft))
            return _row(row)

    def head(self, key: str) -> Revision:
        """The current revision. Raises NotFound."""
        with Work(self._engine) as work:
            return _read(_at(work, key, _row_of(work, key).head))

    def revision(self, key: str, number: int) -> Revision:
        """One revision. Raises NotFound."""
        with Work(self._engine) as work:
            return _read(_at(work, key, number))

    def revisions(self, key: str, most: int = 500) -> tuple[RevisionRow, ...]:
        """The latest ones first, without their texts. Raises NotFound."""
        table = RevisionTable
        query = select(table.number, table.parent, table.what, table.at_ms).where(table.session_id == key)
        with Work(self._engine) as work:
            _row_of(work, key)
            rows = work.execute(query.order_by(table.number.desc()).limit(most))
            return tuple(RevisionRow(number=a, parent=b, what=c, at_ms=d) for a, b, c, d in rows)

    def save(self, key: str, base: int, draft: Draft) -> Revision:
        """A new revision on top of `base`; the same text again makes none. Raises Conflict, NotFound."""
        with self._writing() as work:
            row, head = self._lock_at(work, key, base)
            if head.text == draft.text:
                return _read(head)
            last = work.scalar(select(func.max(RevisionTable.number)).where(RevisionTable.session_id == key)) or 0
            revision = _revision(key, last + 1, base, draft)
            work.add(revision)
            _show(row, revision)
            return _read(revision)

    def undo(self, key: str, base: int) -> Revision | None:
        """Back to what `base` was made from; None for the first. Raises Conflict, NotFound."""
        with self._writing() as work:
            row, head = self._lock_at(work, key, base)
            if head.parent is None:
                return None
            return self._go(row, _at(work, key, head.parent))

    def redo(self, key: str, base: int) -> Revision | None:
        """On to the newest that was made from `base`; None when there is none. Raises Conflict, NotFound."""
        with self._writing() as work:
            row, _ = self._lock_at(work, key, base)
            newest = _children(key, base).order_by(RevisionTable.number.desc()).limit(1)
            child: RevisionTable | None = work.scalars(newest).first()
            return self._go(row, child) if child else None

    def can_redo(self, key: str, base: int) -> bool:
        """Whether something was made from `base`."""
        with Work(self._engine) as work:
            return work.scalars(_children(key, base).limit(1)).first() is not None

    def archive(self, key: str, *, in_archive: bool) -> None:
        """Out of the list, or into it again. Raises NotFound."""
        with self._writing() as work:
            _row_of(work, key).archived = in_archive

    def copy(self, key: str) -> SessionRow:
        """The current text as a session of its own. Raises NotFound."""
        head = self.head(key)
        title, what = f"{head.title} (copy)", f"Copied from {head.title}"
        return self.create(Draft(text=head.text, title=title, slot_minutes=head.slot_minutes, what=what))

    @contextmanager
    def _writing(self) -> Iterator[Work]:
        with Work(self._engine.execution_options(writes=True)) as work, work.begin():
            yield work

    def _lock_at(self, work: Work, key: str, base: int) -> tuple[SessionTable, RevisionTable]:
        """The session, locked for this writer, and its current revision, which has to be `base`."""
        row = _row_of(work, key, lock=True)
        head = _at(work, key, row.head)
        if head.number != base:
            raise Conflict(_read(head))
        return row, head

    def _go(self, row: SessionTable, to: RevisionTable) -> Revision:
        _show(row, to)
        return _read(to)


def _children(key: str, base: int) -> Select[Any]:
    return select(RevisionTable).where(RevisionTable.session_id == key, RevisionTable.parent == base)


def _row_of(work: Work, key: str, *, lock: bool = False) -> SessionTable:
    result = work.get(SessionTable, key, with_for_update=True if lock else None)
    if result is None:
        raise NotFound(f"There is no session {key}.")
    return result


def _at(work: Work, key: str, number: int) -> RevisionTable:
    result = work.get(RevisionTable, (key, number)) if 0 < number < 2**31 else None
    if result is None:
        raise NotFound(f"There is no version {number} of that session.")
    return result


def _show(row: SessionTable, new: RevisionTable) -> None:
    row.head, row.title, row.slot_minutes, row.updated_ms = new.number, new.title, new.slot_minutes, _now_ms()


def _revision(key: str, number: int, parent: int | None, draft: Draft) -> RevisionTable:
    if "\0" in draft.text:
        raise Invalid("text", "text without meaningless characters", "a character of number 0")
    return RevisionTable(
        session_id=key, number=number, parent=parent, text=draft.text, title=_cut(draft.title, 200),
        slot_minutes=draft.slot_minutes, what=_cut(draft.what, 300), at_ms=_now_ms(),
    )  # fmt: skip


def _cut(words: str, most: int) -> str:
    plain = "".join(sign if sign.isprintable() else " " for sign in words)
    return plain if len(plain) <= most else plain[: most - 1] + "…"


def _row(row: SessionTable) -> SessionRow:
    return SessionRow(
        id=row.id, title=row.title, slot_minutes=row.slot_minutes, archived=row.archived,
        updated_ms=row.updated_ms, head=row.head,
    )  # fmt: skip


def _read(row: RevisionTable) -> Revision:
    return Revision(
        session=row.session_id, number=row.number, parent=row.parent, text=row.text, title=row.title,
        slot_minutes=row.slot_minutes, what=row.what, at_ms=row.at_ms,
    )  # fmt: skip


def _now_ms() -> int:
    return time.time_ns() // 1_000_000
