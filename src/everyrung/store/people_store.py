"""People who come, and their health answers: apart from each other, the answers encrypted, the key outside."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from cryptography.fernet import Fernet, InvalidToken
from sqlalchemy import Engine, and_, delete, func, or_, select, text
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session as Work

from everyrung.store.files import FOR_THE_COACH_ALONE, replace_bytes
from everyrung.store.sessions import NotFound
from everyrung.store.tables import BlockPersonTable, HealthTable, HistoryTable, LedSourceTable, PersonTable
from everyrung.terms.errors import Fault, Faults, Invalid, Where
from everyrung.terms.person import same_name


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonRow:
    """One person's TOML text, and, apart from it, what they said in confidence ('' for nothing)."""

    id: int = 0
    name: str
    text: str
    health: str = field(default="", repr=False)


class PeopleStore:
    """The people of one database; `key_file` unlocks their health answers and is no part of it."""

    def __init__(self, engine: Engine, key_file: Path) -> None:
        self._engine, self._key_file = engine, key_file

    def all(self) -> tuple[PersonRow, ...]:
        """Everyone by name, with their answers. Raises Faults when there are answers and no key opens them."""
        query = select(PersonTable, HealthTable.sealed).outerjoin(HealthTable).order_by(PersonTable.folded)
        with Work(self._engine) as work:
            rows = [(row, health) for row, health in work.execute(query)]
        return tuple(
            PersonRow(id=row.id, name=row.name, text=row.text, health=self._decrypt(health)) for row, health in rows
        )

    def count(self) -> int:
        """How many there are."""
        with Work(self._engine) as work:
            return work.scalar(select(func.count()).select_from(PersonTable)) or 0

    def person(self, key: int) -> PersonRow:
        """One of them. Raises NotFound, and Faults as `all`."""
        with Work(self._engine) as work:
            row, health = _row_of(work, key), work.get(HealthTable, key)
            sealed_bytes = health.sealed if health else None
        return PersonRow(id=row.id, name=row.name, text=row.text, health=self._decrypt(sealed_bytes))

    def name(self, key: int) -> str:
        """What one of them is called, whether or not their answers can be opened. Raises NotFound."""
        with Work(self._engine) as work:
            return _row_of(work, key).name

    def names(self) -> tuple[tuple[int, str], ...]:
        """The number and name of everyone, by name, whether or not answers can be opened."""
        with Work(self._engine) as work:
            query = select(PersonTable.id, PersonTable.name).order_by(PersonTable.folded)
            return tuple((key, name) for key, name in work.execute(query))

    def with_answers(self) -> tuple[tuple[int, str], ...]:
        """The number and name of everyone who said something in confidence."""
        with Work(self._engine) as work:
            return tuple(
                (key, name) for key, name in work.execute(select(PersonTable.id, PersonTable.name).join(HealthTable))
            )

    def put(self, people: Iterable[PersonRow]) -> tuple[int, ...]:
        """All of these or none, those of number 0 new; returns their numbers.

        Raises Invalid for a name that another one has, NotFound.
        """
        rows = tuple(people)
        with self._writing() as work:
            old_rows = {row.id: row for row in work.scalars(select(PersonTable))}
            _check_names(rows, old_rows)
            table_rows = [old_rows[row.id] if row.id else PersonTable() for row in rows]
            for row, now in zip(table_rows, rows, strict=True):
                row.name, row.folded, row.text = now.name, same_name(now.name), now.text
            work.add_all(table_rows)
            work.flush()
            self._seal(work, {row.id: now.health for row, now in zip(table_rows, rows, strict=True)})
            return tuple(row.id for row in table_rows)

    def remove(self, key: int) -> None:
        """A person, their answers and what they did; nothing of it is left in the file. Raises NotFound."""
        with self._writing() as work:
            work.execute(delete(HealthTable).where(HealthTable.person_id == key))
            work.execute(delete(HistoryTable).where(HistoryTable.person_id == key))
            work.execute(delete(BlockPersonTable).where(BlockPersonTable.person_id == key))
            lines = (LedSourceTable.kind == "answers", LedSourceTable.person_id.is_(None))  # may name anybody
            work.execute(delete(LedSourceTable).where(or_(LedSourceTable.person_id == key, and_(*lines))))
            work.delete(_row_of(work, key))
        self._wipe()

    def remove_all_health(self) -> int:
        """Every answer of everyone, and the key; how many people's there were. Nothing of them is left in the file."""
        with self._writing() as work:
            count = work.scalar(select(func.count()).select_from(HealthTable)) or 0
            work.execute(delete(HealthTable))
        self._key_file.unlink(missing_ok=True)
        self._wipe()
        return count

    def _wipe(self) -> None:
        """What was deleted leaves the files: SQLite overwrites it and empties its log, PostgreSQL rewrites the tables.

        PostgreSQL's write-ahead log is the server's own, and keeps it until the server clears that.
        """
        sqlite = self._engine.dialect.name == "sqlite"
        lines = (
            ("PRAGMA wal_checkpoint(TRUNCATE)",)
            if sqlite
            else ("VACUUM FULL health", "VACUUM FULL history", "VACUUM FULL person")
        )
        with self._engine.execution_options(isolation_level="AUTOCOMMIT").connect() as connection:
            for line in lines:
                connection.execute(text(line))

    @contextmanager
    def _writing(self) -> Iterator[Work]:
        try:
            with Work(self._engine.execution_options(writes=True)) as work, work.begin():
                yield work
        except IntegrityError:  # two servers of one PostgreSQL at the same moment
            raise Invalid("name", "a name of its own for each person", "one that was put there just now") from None

    def _seal(self, work: Work, answers: Mapping[int, str]) -> None:
        """What each of these people said in confidence, anew; '' for nothing."""
        old_rows = {row.person_id: row for row in work.scalars(select(HealthTable))}
        nonempty = {key: health for key, health in answers.items() if health}
        lock = self._key(make=not old_rows) if nonempty else None
        for key in answers.keys() & old_rows.keys() - nonempty.keys():
            work.delete(old_rows[key])
        if lock:
            rows = {key: old_rows.get(key) or HealthTable(person_id=key) for key in nonempty}
            for key, health in nonempty.items():
                rows[key].sealed = lock.encrypt(health.encode())
            work.add_all(rows.values())

    def _decrypt(self, ciphertext: bytes | None) -> str:
        if ciphertext is None:
            return ""
        try:
            return self._key(make=False).decrypt(bytes(ciphertext)).decode()
        except InvalidToken:
            raise self._lock_fault("another key") from None

    def _key(self, *, make: bool) -> Fernet:
        """The key; made only while there is nothing that another one sealed."""
        if not self._key_file.exists():
            if not make:
                raise self._lock_fault("no such file")
            replace_bytes(self._key_file, Fernet.generate_key(), mode=FOR_THE_COACH_ALONE)
        try:
            return Fernet(self._key_file.read_bytes().strip())
        except ValueError:
            raise self._lock_fault("something else") from None

    def _lock_fault(self, got: str) -> Faults:
        remedy = "Put the key back beside the database, or delete all health answers on the People screen."
        where = Where(file=str(self._key_file), line=0, field="key")
        return Faults([Fault(where=where, expected="the key of the health answers", got=got, remedy=remedy)])


def _check_names(rows: Sequence[PersonRow], old_rows: Mapping[int, PersonTable]) -> None:
    """Raises Invalid for a name that two would have, NotFound for a number that nobody has."""
    if any(row.id and row.id not in old_rows for row in rows):
        raise NotFound("There is no such person.")
    ids = {row.id for row in rows}
    names = {row.folded for row in old_rows.values() if row.id not in ids}
    for row in rows:
        if same_name(row.name) in names:
            raise Invalid("name", "a name of its own for each person", row.name)
        names.add(same_name(row.name))


def _row_of(work: Work, key: int) -> PersonTable:
    result = work.get(PersonTable, key) if 0 < key < 2**31 else None
    if result is None:
        raise NotFound("There is no such person.")
    return result
