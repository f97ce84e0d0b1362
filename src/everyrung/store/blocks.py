"""Blocks of weeks in the studio's database: what is wanted, the plan of each evening, and who comes."""

import secrets
import time
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass

from sqlalchemy import Engine, delete, select
from sqlalchemy.orm import Session as Work

from everyrung.store.sessions import NotFound
from everyrung.store.tables import BlockEveningTable, BlockPersonTable, BlockTable, RevisionTable, SessionTable


@dataclass(frozen=True, slots=True, kw_only=True)
class BlockRow:
    """A block: its file's text, what is asked for and not kept yet ('' for nothing) from which day on (ISO), its
    calendar ('' before there is one), what it gives up and its bounds in lines, and the numbers of those who come.
    """

    id: str
    title: str
    text: str
    asked: str
    start: str
    calendar: str
    bounds: str
    people: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class EveningRow:
    """An evening's plan as it is now, by its day (ISO): that of its session, where it was opened as one ('' where not),
    and the session's version.
    """

    day: str
    text: str
    session: str
    version: int


class Blocks:
    """The blocks of one database."""

    def __init__(self, engine: Engine) -> None:
        self._engine = engine

    def all(self) -> tuple[BlockRow, ...]:
        """Every block, the latest first."""
        with Work(self._engine) as work:
            rows = work.scalars(select(BlockTable).order_by(BlockTable.updated_ms.desc(), BlockTable.id))
            return tuple(_read(work, row) for row in rows)

    def block(self, key: str) -> BlockRow:
        """One of them. Raises NotFound."""
        with Work(self._engine) as work:
            return _read(work, _row_of(work, key))

    def create(self, title: str, head: str, start: str, people: Iterable[int]) -> str:
        """A new one of which nothing is planned yet; its key."""
        with self._writing() as work:
            row = BlockTable(
                id=secrets.token_urlsafe(9), title=title[:200], text=head, asked=head, start=start, calendar="",
                bounds="", updated_ms=_now_ms(),
            )  # fmt: skip
            work.add(row)
            work.flush()
            work.add_all(BlockPersonTable(block_id=row.id, person_id=each) for each in people)
            return row.id

    def rewrite(self, key: str, text: str) -> None:
        """The block's file as it is from now on. Raises NotFound."""
        with self._writing() as work:
            row = _row_of(work, key)
            row.text, row.updated_ms = text, _now_ms()

    def ask(self, key: str, head: str, start: str, people: Iterable[int] | None = None) -> None:
        """What is to be planned next; '' for nothing. With `people`, those come from now on. Raises NotFound."""
        with self._writing() as work:
            row = _row_of(work, key)
            row.asked, row.start, row.updated_ms = head, start, _now_ms()
            if people is not None:
                work.execute(delete(BlockPersonTable).where(BlockPersonTable.block_id == key))
                work.add_all(BlockPersonTable(block_id=key, person_id=each) for each in people)

    def keep(self, row: BlockRow, plans: Mapping[str, str]) -> None:
        """A block as it was planned takes the place of what there was; sessions that were opened stay with their day.
        Raises NotFound.
        """
        key = row.id
        with self._writing() as work:
            old = _row_of(work, key)
            old.title, old.text, old.calendar, old.bounds = row.title[:200], row.text, row.calendar, row.bounds
            old.asked, old.updated_ms = row.asked, _now_ms()
            there = {each.day: each for each in _evenings(work, key)}
            for day, evening in there.items():
                if day not in plans:
                    work.delete(evening)
            for day, plan in plans.items():
                if day in there:
                    there[day].text = plan
                else:
                    work.add(BlockEveningTable(block_id=key, day=day, text=plan, session_id=None))

    def link(self, key: str, day: str, session: str) -> None:
        """An evening was opened as a session. Raises NotFound."""
        with self._writing() as work:
            evening = work.get(BlockEveningTable, (key, day))
            if evening is None:
                raise NotFound("This block has no such evening.")
            evening.session_id = session

    def evenings(self, key: str) -> tuple[EveningRow, ...]:
        """The evenings of a block by day. Raises NotFound."""
        with Work(self._engine) as work:
            _row_of(work, key)
            return tuple(_evening(work, each) for each in _evenings(work, key))

    def days_of(self, session: str) -> tuple[str, ...]:
        """The day (ISO) of the evening that was opened as a session, and those of its block after it, in order; none
        for a session of no block.
        """
        own = select(BlockEveningTable).where(BlockEveningTable.session_id == session)
        with Work(self._engine) as work:
            evening: BlockEveningTable | None = work.scalars(own.limit(1)).first()
            if evening is None:
                return ()
            return tuple(each.day for each in _evenings(work, evening.block_id) if each.day >= evening.day)

    def remove(self, key: str) -> None:
        """A block goes; sessions that were opened stay. Raises NotFound."""
        with self._writing() as work:
            work.delete(_row_of(work, key))

    @contextmanager
    def _writing(self) -> Iterator[Work]:
        with Work(self._engine.execution_options(writes=True)) as work, work.begin():
            yield work


def _row_of(work: Work, key: str) -> BlockTable:
    row = work.get(BlockTable, key)
    if row is None:
        raise NotFound("There is no such block of weeks.")
    return row


def _read(work: Work, row: BlockTable) -> BlockRow:
    query = select(BlockPersonTable.person_id).where(BlockPersonTable.block_id == row.id)
    return BlockRow(
        id=row.id, title=row.title, text=row.text, asked=row.asked, start=row.start, calendar=row.calendar,
        bounds=row.bounds, people=tuple(work.scalars(query.order_by(BlockPersonTable.person_id))),
    )  # fmt: skip


def _evenings(work: Work, key: str) -> list[BlockEveningTable]:
    query = select(BlockEveningTable).where(BlockEveningTable.block_id == key).order_by(BlockEveningTable.day)
    return list(work.scalars(query))


def _evening(work: Work, row: BlockEveningTable) -> EveningRow:
    session = work.get(SessionTable, row.session_id) if row.session_id else None
    head = work.get(RevisionTable, (session.id, session.head)) if session else None
    if session is None or head is None:
        return EveningRow(day=row.day, text=row.text, session="", version=0)
    return EveningRow(day=row.day, text=head.text, session=session.id, version=head.number)


def _now_ms() -> int:
    return time.time_ns() // 1_000_000
