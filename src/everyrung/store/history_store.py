"""What people did, set by set, in the studio's database; it goes with the person."""

from collections.abc import Iterable
from dataclasses import dataclass

from sqlalchemy import Engine, select
from sqlalchemy.orm import Session as Work

from everyrung.store.sessions import NotFound
from everyrung.store.tables import HistoryTable, PersonTable


@dataclass(frozen=True, slots=True, kw_only=True)
class HistoryRow:
    """One record: whose it is (0 and '' for the whole room's), the day as 2027-01-11, and the rest as text."""

    person: int = 0
    name: str = ""
    day: str
    record: str


class HistoryStore:
    """All records of one database, in the order in which they were written down."""

    def __init__(self, engine: Engine) -> None:
        self._engine = engine

    def add(self, rows: Iterable[HistoryRow]) -> None:
        """All of these or none; what was there before stays. Raises NotFound for a person that there is not."""
        with Work(self._engine.execution_options(writes=True)) as work, work.begin():
            people = set(work.scalars(select(PersonTable.id)))
            for row in rows:
                if row.person and row.person not in people:
                    raise NotFound("There is no such person.")
                work.add(HistoryTable(person_id=row.person or None, day=row.day, record=row.record))
                work.flush()  # one after the other, as their order says which of two holds

    def all(self, day: str = "") -> tuple[HistoryRow, ...]:
        """Every record, or those of one day, people by the name they have now."""
        query = select(HistoryTable, PersonTable.name).outerjoin(PersonTable).order_by(HistoryTable.id)
        query = query.where(HistoryTable.day == day) if day else query
        with Work(self._engine) as work:
            return tuple(
                HistoryRow(person=row.person_id or 0, name=name or "", day=row.day, record=row.record)
                for row, name in work.execute(query)
            )
