"""What there is of a show beside its log: where its recording lies, its transcript, heart rates, what people said.

Sealed, with the key beside the database and in no backup; it goes with the show, and a person's with the person.
"""

from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import Path

from cryptography.fernet import Fernet, InvalidToken
from sqlalchemy import Engine, delete, select
from sqlalchemy.orm import Session as Work

from everyrung.store.files import FOR_THE_COACH_ALONE, replace_bytes
from everyrung.store.sessions import NotFound
from everyrung.store.tables import LedSourceTable, PersonTable, SessionLogTable


class SourceKind(StrEnum):
    """What a source is. Of a recording the content is its path: the file is never copied."""

    RECORDING = "recording"
    TRANSCRIPT = "transcript"
    HEART = "heart rate"
    ANSWERS = "answers"


ONE_ONLY = (SourceKind.RECORDING, SourceKind.TRANSCRIPT)  # a new one takes the old one's place


@dataclass(frozen=True, slots=True, kw_only=True)
class LedSource:
    """One of them; `person` is whose it is (0: nobody's on the list). `content` is None where the key is another."""

    id: int
    kind: SourceKind
    name: str
    zone: str
    person: int
    limits_rate: bool
    content: bytes | None = field(repr=False)


class LedSources:
    """All of one database; `key_file` opens them."""

    def __init__(self, engine: Engine, key_file: Path) -> None:
        self._engine, self._key_file = engine, key_file

    def add(
        self,
        show: str,
        kind: SourceKind,
        name: str,
        content: bytes,
        *,
        person: int = 0,
        zone: str = "",
        limits_rate: bool = False,
    ) -> None:
        """One more of a show. Raises NotFound for a show or a person that is not."""
        cipher = self._cipher()
        with Work(self._engine.execution_options(writes=True)) as work, work.begin():
            if work.get(SessionLogTable, show) is None or (person and work.get(PersonTable, person) is None):
                raise NotFound("There is no such show, or no such person.")
            same = (LedSourceTable.led_id == show, LedSourceTable.kind == kind)
            if kind in ONE_ONLY:
                work.execute(delete(LedSourceTable).where(*same))
            elif person or kind is SourceKind.ANSWERS:
                whose = LedSourceTable.person_id == person if person else LedSourceTable.person_id.is_(None)
                work.execute(delete(LedSourceTable).where(*same, whose))
            work.add(
                LedSourceTable(
                    led_id=show,
                    kind=str(kind),
                    name=name[:200],
                    zone=zone,
                    person_id=person or None,
                    limits_rate=limits_rate,
                    sealed=cipher.encrypt(content),
                )
            )

    def of(self, show: str) -> tuple[LedSource, ...]:
        """Those of one show, in the order in which they came."""
        with Work(self._engine) as work:
            query = select(LedSourceTable).where(LedSourceTable.led_id == show).order_by(LedSourceTable.id)
            return tuple(map(self._open, work.scalars(query)))

    def of_kind(self, kind: SourceKind) -> tuple[tuple[str, LedSource], ...]:
        """Those of all shows with their shows, the latest show first."""
        with Work(self._engine) as work:
            query = (
                select(LedSourceTable)
                .join(SessionLogTable)
                .where(LedSourceTable.kind == kind)
                .order_by(SessionLogTable.started_ms.desc())
            )
            return tuple((row.led_id, self._open(row)) for row in work.scalars(query))

    def remove(self, show: str, number: int) -> None:
        """One of them, for good. Raises NotFound."""
        with Work(self._engine.execution_options(writes=True)) as work, work.begin():
            row = work.get(LedSourceTable, number) if 0 < number < 2**31 else None
            if row is None or row.led_id != show:
                raise NotFound("There is no such file of this show.")
            work.delete(row)

    def _open(self, row: LedSourceTable) -> LedSource:
        try:
            content: bytes | None = self._cipher().decrypt(bytes(row.sealed))
        except InvalidToken:
            content = None
        return LedSource(
            id=row.id,
            kind=SourceKind(row.kind),
            name=row.name,
            zone=row.zone,
            person=row.person_id or 0,
            limits_rate=row.limits_rate,
            content=content,
        )

    def _cipher(self) -> Fernet:
        """Of the key; a new one where there is none, so that what an old one sealed stays shut."""
        if not self._key_file.exists():
            replace_bytes(self._key_file, Fernet.generate_key(), mode=FOR_THE_COACH_ALONE)
        try:
            return Fernet(self._key_file.read_bytes().strip())
        except ValueError:
            self._key_file.unlink()
            return self._cipher()
