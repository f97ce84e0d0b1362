"""The tables of the studio's database."""

from sqlalchemy import Boolean, ForeignKey, Index, Integer, LargeBinary, MetaData, String, Text, UniqueConstraint
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column
from sqlalchemy.types import BigInteger

_NAMES = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s",
    "pk": "pk_%(table_name)s",
}


class Base(DeclarativeBase):
    """Every constraint has a name, so that migrations can speak of it."""

    metadata = MetaData(naming_convention=_NAMES)


class SessionTable(Base):
    """A session of the coach's: what the list shows, and which revision is current."""

    __tablename__ = "session"
    id: Mapped[str] = mapped_column(String(32), primary_key=True)
    title: Mapped[str] = mapped_column(String(200))
    slot_minutes: Mapped[int] = mapped_column(Integer)
    archived: Mapped[bool] = mapped_column(Boolean, default=False)
    updated_ms: Mapped[int] = mapped_column(BigInteger, index=True)
    head: Mapped[int] = mapped_column(Integer)


class RevisionTable(Base):
    """One version of a session's text. `number` counts within the session; `parent` is what it was made from."""

    __tablename__ = "revision"
    session_id: Mapped[str] = mapped_column(ForeignKey("session.id", ondelete="CASCADE"), primary_key=True)
    number: Mapped[int] = mapped_column(Integer, primary_key=True)
    parent: Mapped[int | None] = mapped_column(Integer)
    text: Mapped[str] = mapped_column(Text)
    title: Mapped[str] = mapped_column(String(200))
    slot_minutes: Mapped[int] = mapped_column(Integer)
    what: Mapped[str] = mapped_column(String(300))
    at_ms: Mapped[int] = mapped_column(BigInteger)
    __table_args__ = (Index("ix_revision_session_id_parent", "session_id", "parent"),)


class PersonTable(Base):
    """Someone who comes: a TOML text without health answers."""

    __tablename__ = "person"
    id: Mapped[int] = mapped_column(Integer, primary_key=True)
    name: Mapped[str] = mapped_column(String(200))
    folded: Mapped[str] = mapped_column(String(200))
    text: Mapped[str] = mapped_column(Text)
    __table_args__ = (UniqueConstraint("folded"),)


class HealthTable(Base):
    """Somebody's health answers, encrypted; the key is not in the database."""

    __tablename__ = "health"
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id", ondelete="CASCADE"), primary_key=True)
    sealed: Mapped[bytes] = mapped_column(LargeBinary)


class OwnRungTable(Base):
    """A rung that the coach built: a library rung and levers, as a plan file has them."""

    __tablename__ = "own_rung"
    id: Mapped[int] = mapped_column(Integer, primary_key=True)
    move: Mapped[str] = mapped_column(String(100), index=True)
    rung: Mapped[str] = mapped_column(String(100))
    levers: Mapped[str] = mapped_column(Text)
    name: Mapped[str] = mapped_column(String(200))
    entry_test: Mapped[str] = mapped_column(String(200))
    __table_args__ = (UniqueConstraint("move", "name"),)


class OwnCueTable(Base):
    """Words of the coach's own; without `move` for every set, without `rung` for every rung of the move."""

    __tablename__ = "own_cue"
    id: Mapped[int] = mapped_column(Integer, primary_key=True)
    move: Mapped[str] = mapped_column(String(100))
    rung: Mapped[str] = mapped_column(String(100))
    kind: Mapped[str] = mapped_column(String(40))
    text: Mapped[str] = mapped_column(String(200))
    __table_args__ = (UniqueConstraint("move", "rung", "kind", "text"),)


class SessionLogTable(Base):
    """A session as it was really led: its log, in the stage's own words (JSON), and the coach's notes about it."""

    __tablename__ = "led"
    id: Mapped[str] = mapped_column(String(40), primary_key=True)
    session_id: Mapped[str] = mapped_column(ForeignKey("session.id", ondelete="CASCADE"), index=True)
    revision: Mapped[int] = mapped_column(Integer)
    started_ms: Mapped[int] = mapped_column(BigInteger)
    log: Mapped[str] = mapped_column(Text)
    notes: Mapped[str] = mapped_column(Text, default="", server_default="")


class PairingTable(Base):
    """The code by which a phone is paired with a session."""

    __tablename__ = "pairing"
    session_id: Mapped[str] = mapped_column(ForeignKey("session.id", ondelete="CASCADE"), primary_key=True)
    code: Mapped[str] = mapped_column(String(6))


class PhoneTable(Base):
    """A phone that may steer a session, by the SHA-256 of its token."""

    __tablename__ = "phone"
    session_id: Mapped[str] = mapped_column(ForeignKey("session.id", ondelete="CASCADE"), primary_key=True)
    digest: Mapped[str] = mapped_column(String(64), primary_key=True)
    paired_ms: Mapped[int] = mapped_column(BigInteger)


COUNTER = BigInteger().with_variant(Integer(), "sqlite")  # SQLite counts by itself in INTEGER alone


class StudioTable(Base):
    """A studio that works on this database with others, and when it last said that it runs."""

    __tablename__ = "studio"
    id: Mapped[str] = mapped_column(String(32), primary_key=True)
    beat_ms: Mapped[int] = mapped_column(BigInteger)


class JobTable(Base):
    """A job that a studio computes or has computed; progress and result are sealed."""

    __tablename__ = "job"
    key: Mapped[str] = mapped_column(String(64), primary_key=True)
    slot: Mapped[str] = mapped_column(String(200), index=True)
    studio_id: Mapped[str] = mapped_column(String(32))
    with_people: Mapped[bool] = mapped_column(Boolean)
    cancelled: Mapped[bool] = mapped_column(Boolean)
    finished: Mapped[bool] = mapped_column(Boolean)
    progress: Mapped[bytes | None] = mapped_column(LargeBinary)
    result: Mapped[bytes | None] = mapped_column(LargeBinary)
    at_ms: Mapped[int] = mapped_column(BigInteger)


class MessageTable(Base):
    """What one studio has to say to another about a stage (JSON); gone when it is read."""

    __tablename__ = "message"
    id: Mapped[int] = mapped_column(COUNTER, primary_key=True)
    studio_id: Mapped[str] = mapped_column(String(32), index=True)
    body: Mapped[str] = mapped_column(Text)


class StageTable(Base):
    """Which studio holds a session's stage; the others pass on what they hear."""

    __tablename__ = "stage"
    session_id: Mapped[str] = mapped_column(ForeignKey("session.id", ondelete="CASCADE"), primary_key=True)
    studio_id: Mapped[str] = mapped_column(String(32))


class HistoryTable(Base):
    """A set that somebody did, or that a whole room answered for: a row of a history file without the name."""

    __tablename__ = "history"
    id: Mapped[int] = mapped_column(COUNTER, primary_key=True)
    person_id: Mapped[int | None] = mapped_column(ForeignKey("person.id", ondelete="CASCADE"), index=True)
    day: Mapped[str] = mapped_column(String(10))
    record: Mapped[str] = mapped_column(Text)


class LedSourceTable(Base):
    """What there is of a show beside its log: where its recording lies, what was said, a heart rate, what people said;
    sealed, the key is not in the database. `zone` is that of times that name none;
    `limits_rate`: so does somebody's medicine who is on no list.
    """

    __tablename__ = "led_source"
    id: Mapped[int] = mapped_column(COUNTER, primary_key=True)
    led_id: Mapped[str] = mapped_column(ForeignKey("led.id", ondelete="CASCADE"), index=True)
    person_id: Mapped[int | None] = mapped_column(ForeignKey("person.id", ondelete="CASCADE"), index=True)
    kind: Mapped[str] = mapped_column(String(20))
    name: Mapped[str] = mapped_column(String(200))
    zone: Mapped[str] = mapped_column(String(60))
    limits_rate: Mapped[bool] = mapped_column(Boolean)
    sealed: Mapped[bytes] = mapped_column(LargeBinary)


class BlockTable(Base):
    """A block of weeks: its file's text, with lines on its bounds; and what was asked for last and is not kept yet (''
    for nothing): the file's head, and the day from which on evenings are planned anew.
    """

    __tablename__ = "block"
    id: Mapped[str] = mapped_column(String(32), primary_key=True)
    title: Mapped[str] = mapped_column(String(200))
    text: Mapped[str] = mapped_column(Text)
    asked: Mapped[str] = mapped_column(Text)
    start: Mapped[str] = mapped_column(String(10))
    calendar: Mapped[str] = mapped_column(Text)
    bounds: Mapped[str] = mapped_column(Text)
    updated_ms: Mapped[int] = mapped_column(BigInteger)


class BlockEveningTable(Base):
    """The plan of an evening of a block, as it was planned; with the session that it was opened as, if it was."""

    __tablename__ = "block_evening"
    block_id: Mapped[str] = mapped_column(ForeignKey("block.id", ondelete="CASCADE"), primary_key=True)
    day: Mapped[str] = mapped_column(String(10), primary_key=True)
    text: Mapped[str] = mapped_column(Text)
    session_id: Mapped[str | None] = mapped_column(ForeignKey("session.id", ondelete="SET NULL"))


class BlockPersonTable(Base):
    """Somebody who comes to the evenings of a block."""

    __tablename__ = "block_person"
    block_id: Mapped[str] = mapped_column(ForeignKey("block.id", ondelete="CASCADE"), primary_key=True)
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id", ondelete="CASCADE"), primary_key=True)


class WrongTryTable(Base):
    """A wrong code or passphrase, by the address that it came from."""

    __tablename__ = "wrong_try"
    id: Mapped[int] = mapped_column(COUNTER, primary_key=True)
    kind: Mapped[str] = mapped_column(String(20))
    address: Mapped[str] = mapped_column(String(100))
    at_ms: Mapped[int] = mapped_column(BigInteger)
    __table_args__ = (Index("ix_wrong_try_kind_address", "kind", "address"),)


class PictureTable(Base):
    """What the picture of a name shows, sealed."""

    __tablename__ = "picture"
    name: Mapped[str] = mapped_column(String(20), primary_key=True)
    asked: Mapped[bytes] = mapped_column(LargeBinary)
    at_ms: Mapped[int] = mapped_column(BigInteger)


class RoomTable(Base):
    """A room that sessions are held in: the text of its room file."""

    __tablename__ = "room"
    id: Mapped[int] = mapped_column(Integer, primary_key=True)
    name: Mapped[str] = mapped_column(String(200))
    text: Mapped[str] = mapped_column(Text)
    __table_args__ = (UniqueConstraint("name"),)


class VenueTable(Base):
    """The room that a session is held in, and for how many people (0: as its plan says)."""

    __tablename__ = "venue"
    session_id: Mapped[str] = mapped_column(ForeignKey("session.id", ondelete="CASCADE"), primary_key=True)
    room_id: Mapped[int] = mapped_column(ForeignKey("room.id", ondelete="CASCADE"))
    people: Mapped[int] = mapped_column(Integer)
