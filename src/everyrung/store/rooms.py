"""The coach's rooms, each as the text of a room file, and which session is held in which."""

from dataclasses import dataclass

from sqlalchemy import Engine, select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session as Work

from everyrung.store.sessions import NotFound
from everyrung.store.tables import RoomTable, VenueTable
from everyrung.terms.errors import Invalid

MOST_ROOMS = 200  # chosen, because nobody leads in more


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomRow:
    """A room by its number; `text` reads as a room file."""

    id: int
    name: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Venue:
    """Where a session is held, and for how many people; 0 for as many as its plan expects."""

    room: RoomRow
    people: int


class Rooms:
    """All rooms of one database, by name."""

    def __init__(self, engine: Engine) -> None:
        self._engine = engine

    def all(self) -> tuple[RoomRow, ...]:
        """Every one."""
        with Work(self._engine) as work:
            return tuple(map(_room, work.scalars(select(RoomTable).order_by(RoomTable.name))))

    def get(self, key: int) -> RoomRow:
        """Raises NotFound."""
        with Work(self._engine) as work:
            return _room(_row(work, key))

    def add(self, name: str, text: str) -> int:
        """One more, and its number. Raises Invalid for a name that there is, or for too many."""
        try:
            with Work(self._engine.execution_options(writes=True)) as work, work.begin():
                if len(work.scalars(select(RoomTable.id)).all()) >= MOST_ROOMS:
                    raise Invalid("rooms", f"at most {MOST_ROOMS}", "one more", remedy="Delete one that is not used.")
                row = RoomTable(name=name, text=text)
                work.add(row)
                work.flush()
                return row.id
        except IntegrityError:
            raise _name_clash(name) from None

    def change(self, key: int, name: str, text: str) -> None:
        """The same room, measured anew. Raises NotFound, Invalid for a name that another has."""
        try:
            with Work(self._engine.execution_options(writes=True)) as work, work.begin():
                row = _row(work, key)
                row.name, row.text = name, text
        except IntegrityError:
            raise _name_clash(name) from None

    def remove(self, key: int) -> None:
        """One less; sessions that were held in it are in no room. Raises NotFound."""
        with Work(self._engine.execution_options(writes=True)) as work, work.begin():
            work.delete(_row(work, key))

    def hold(self, session: str, key: int, people: int) -> None:
        """A session in a room (0: in none). Raises NotFound."""
        with Work(self._engine.execution_options(writes=True)) as work, work.begin():
            old = work.get(VenueTable, session)
            if old:
                work.delete(old)
                work.flush()
            if key:
                work.add(VenueTable(session_id=session, room_id=_row(work, key).id, people=people))

    def venue(self, session: str) -> Venue | None:
        """Where a session is held; None where nobody said."""
        with Work(self._engine) as work:
            venue = work.get(VenueTable, session)
            return Venue(room=_room(_row(work, venue.room_id)), people=venue.people) if venue else None


def _row(work: Work, key: int) -> RoomTable:
    row = work.get(RoomTable, key) if 0 < key < 2**31 else None
    if row is None:
        raise NotFound("There is no such room.")
    return row


def _room(row: RoomTable) -> RoomRow:
    return RoomRow(id=row.id, name=row.name, text=row.text)


def _name_clash(name: str) -> Invalid:
    return Invalid("name", "a name that no room of yours has", name, remedy="Call this one something else.")
