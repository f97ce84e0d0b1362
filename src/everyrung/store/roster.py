"""People who come, and their health answers: apart from each other, the answers encrypted, the key outside."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from cryptography.fernet import Fernet, InvalidToken
from sqlalchemy import Engine, delete, func, select, text
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session as Work

from everyrung.store.atomic import FOR_THE_COACH_ALONE, replace_bytes
from everyrung.store.sessions import NotThere
from everyrung.store.tables import HealthTable, PersonTable
from everyrung.terms.fault import Fault, Faults, Invalid, Where


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonRow:
    """One person's TOML text, and, apart from it, what they said in confidence ('' for nothing)."""

    id: int
    name: str
    text: str
    health: str = field(default="", repr=False)


class Roster:
    """The people of one database; `key_file` unlocks their health answers and is no part of it."""

    def __init__(self, engine: Engine, key_file: Path) -> None:
        self._engine, self._key_file = engine, key_file

    def all(self) -> tuple[PersonRow, ...]:
        """Everyone by name, with their answers. Raises Faults when there are answers and no key opens them."""
        wanted = select(PersonTable, HealthTable.sealed).outerjoin(HealthTable).order_by(PersonTable.folded)
        with Work(self._engine) as work:
            rows = [(row, sealed) for row, sealed in work.execute(wanted)]
        return tuple(
            PersonRow(id=row.id, name=row.name, text=row.text, health=self._opened(sealed)) for row, sealed in rows
        )

    def count(self) -> int:
        """How many there are."""
        with Work(self._engine) as work:
            return work.scalar(select(func.count()).select_from(PersonTable)) or 0

    def person(self, key: int) -> PersonRow:
        """One of them. Raises NotThere, and Faults as `all`."""
        with Work(self._engine) as work:
            row, sealed = _found(work, key), work.get(HealthTable, key)
            sealed_bytes = sealed.sealed if sealed else None
        return PersonRow(id=row.id, name=row.name, text=row.text, health=self._opened(sealed_bytes))

    def add(self, name: str, text: str, health: str = "") -> int:
        """A new person; returns their key. Raises Invalid for a name that is there already."""
        with self._writing(name) as work:
            row = PersonTable(name=name, folded=_folded(name), text=text)
            work.add(row)
            work.flush()
            self._seal(work, row.id, health)
            return row.id

    def change(self, key: int, name: str, text: str, health: str = "") -> None:
        """What is known of a person, anew. Raises Invalid for another's name, NotThere."""
        with self._writing(name) as work:
            row = _found(work, key)
            row.name, row.folded, row.text = name, _folded(name), text
            self._seal(work, key, health)

    def remove(self, key: int) -> None:
        """A person and their answers. Raises NotThere."""
        with self._writing("") as work:
            work.execute(delete(HealthTable).where(HealthTable.person_id == key))
            work.delete(_found(work, key))

    def remove_all_health(self) -> int:
        """Every answer of everyone, and the key; how many people's there were. Nothing of them is left in the file."""
        with self._writing("") as work:
            count = work.scalar(select(func.count()).select_from(HealthTable)) or 0
            work.execute(delete(HealthTable))
        self._key_file.unlink(missing_ok=True)
        if self._engine.dialect.name == "sqlite":
            with self._engine.execution_options(isolation_level="AUTOCOMMIT").connect() as connection:
                connection.execute(text("PRAGMA wal_checkpoint(TRUNCATE)"))
        return count

    @contextmanager
    def _writing(self, name: str) -> Iterator[Work]:
        try:
            with Work(self._engine.execution_options(writes=True)) as work, work.begin():
                yield work
        except IntegrityError:
            raise Invalid("name", "a name of its own for each person", name) from None

    def _seal(self, work: Work, key: int, health: str) -> None:
        row = work.get(HealthTable, key)
        if not health:
            if row:
                work.delete(row)
            return
        anyone = work.scalars(select(HealthTable).limit(1)).first() is not None
        sealed = self._key(made=not anyone).encrypt(health.encode())
        if row:
            row.sealed = sealed
        else:
            work.add(HealthTable(person_id=key, sealed=sealed))

    def _opened(self, sealed: bytes | None) -> str:
        if sealed is None:
            return ""
        try:
            return self._key(made=False).decrypt(bytes(sealed)).decode()
        except InvalidToken:
            raise self._locked("another key") from None

    def _key(self, *, made: bool) -> Fernet:
        """The key; made only while there is nothing that another one sealed."""
        if not self._key_file.exists():
            if not made:
                raise self._locked("no such file")
            replace_bytes(self._key_file, Fernet.generate_key(), mode=FOR_THE_COACH_ALONE)
        try:
            return Fernet(self._key_file.read_bytes().strip())
        except ValueError:
            raise self._locked("something else") from None

    def _locked(self, got: str) -> Faults:
        remedy = "Put the key back beside the database, or delete all health answers on the People screen."
        where = Where(file=str(self._key_file), line=0, field="key")
        return Faults([Fault(where=where, expected="the key of the health answers", got=got, remedy=remedy)])


def _found(work: Work, key: int) -> PersonTable:
    found = work.get(PersonTable, key) if 0 < key < 2**31 else None
    if found is None:
        raise NotThere("There is no such person.")
    return found


def _folded(name: str) -> str:
    return " ".join(name.casefold().split())
