"""Backups of the studio's SQLite file: a few generations beside it, made by SQLite's own online backup.

Who is deleted is deleted in every generation too. The keys are not in them.
"""

import os
import sqlite3
import threading
from collections.abc import Sequence
from contextlib import closing, suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

from everyrung.store.files import FOR_THE_COACH_ALONE
from everyrung.terms.errors import Fault, Faults, Invalid, Where

LATEST, DAYS = 4, 7  # kept: the newest four, and the last one of each of seven days; chosen, because a fault may be
# noticed within the hour or after a week
NAME = "studio-%Y%m%d-%H%M%S-%f.sqlite"
CHECKED_BYTES = 200_000_000  # a larger file is not checked at the start; chosen, because that would take seconds
BUSY_S = 5.0  # chosen, because a studio writes for some milliseconds
Deletion = tuple[str, tuple[object, ...]]  # a line of SQL and what goes into it


@dataclass(slots=True, kw_only=True)
class Backups:
    """Those of one database file. `alone` is held while one is made, and by whoever deletes somebody."""

    database: Path
    alone: threading.RLock = field(default_factory=threading.RLock)

    @property
    def folder(self) -> Path:
        return self.database.parent / "backups"

    def all(self) -> tuple[Path, ...]:
        """The newest first."""
        return tuple(sorted(self.folder.glob("studio-*.sqlite"), reverse=True))

    def take(self) -> Path | None:
        """One more, unless nothing changed. Raises Faults, and keeps the old ones, for a spoilt database."""
        with self.alone:
            copy = _private(self.folder / ".new")
            try:
                _copy(self.database, copy)
                check(copy, self.database)
                newest = self.all()[:1]
                if newest and newest[0].read_bytes() == copy.read_bytes():
                    return None
                path = self.folder / datetime.now(UTC).strftime(NAME)
                os.replace(copy, path)
                for old in self.all():
                    if old not in _worth_keeping(self.all()):
                        old.unlink()
                return path
            finally:
                copy.unlink(missing_ok=True)

    def erase(self, deletions: Sequence[Deletion]) -> None:
        """The same rows go in every generation, overwritten; what can't be opened is no backup, and goes whole."""
        backups = self.all()
        for path in self.folder.glob("*"):
            if path not in backups or not _erase(path, deletions):
                path.unlink()

    def find(self, which: str) -> Path:
        """By its place among them (1 is the newest) or its name. Raises Invalid."""
        backups = self.all()
        names = [path.name for path in backups]
        if which in names:
            return backups[names.index(which)]
        if which.isdecimal() and 1 <= int(which[:4]) <= len(backups):
            return backups[int(which[:4]) - 1]
        listing = " ".join(f"{number}: {name}." for number, name in enumerate(names, 1))
        raise Invalid("--restore", "one of the backups", which if backups else "none there", remedy=listing)

    def restore(self, which: str) -> tuple[Path, str]:
        """Puts a backup in the database's place; the backup, and what became of the database that was there.

        Raises Invalid for one that is not there, Faults for a spoilt one or while a studio has the database open.
        """
        path = self.find(which)
        check(path, path)
        what = self._set_aside()
        copy = _private(self.database.with_name(".restored"))
        _copy(path, copy)
        os.replace(copy, self.database)
        return path, what

    def _set_aside(self) -> str:
        """The database that is there becomes a backup; a spoilt one a file beside them."""
        if not self.database.exists() or not self.database.stat().st_size:
            return "There was none."
        try:
            _close(self.database)
            backup = self.take()
        except (sqlite3.DatabaseError, Faults) as problem:
            if isinstance(problem, sqlite3.OperationalError) and "locked" in str(problem):
                where = Where(file=str(self.database), line=0, field="database")
                raise Faults([Fault(where=where, expected="a database that nobody has open", got="one in use",
                                    remedy="Stop the studio, then try again.")]) from None  # fmt: skip
            spoilt = self.folder / f"spoilt-{datetime.now(UTC):%Y%m%d-%H%M%S}"
            os.replace(self.database, spoilt)
            for tail in ("-wal", "-shm"):
                self.database.with_name(self.database.name + tail).unlink(missing_ok=True)
            return f"The damaged one is kept as {spoilt} until somebody is deleted."
        return f"What was there is the backup {backup.name if backup else self.all()[0].name}."


def check(path: Path, database: Path) -> None:
    """Raises Faults for a database with a spoilt page; without looking into one of more than 200 MB."""
    if path.stat().st_size > CHECKED_BYTES:
        return
    try:
        with closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True, timeout=BUSY_S)) as file:
            (verdict,) = file.execute("PRAGMA quick_check(1)").fetchone()
    except sqlite3.DatabaseError as problem:
        verdict = str(problem)
    if verdict != "ok":
        raise Faults([_fault(database, "a sound database", " ".join(str(verdict).split()))])


def check_there(database: Path) -> None:
    """Raises Faults for a database that was there, as its keys and backups show, and is gone or empty."""
    if database.exists() and database.stat().st_size:
        return
    beside = [name for name in ("health.key", "cookies.key", "passphrase") if (database.parent / name).exists()]
    if beside or Backups(database=database).all():
        got = "an empty file" if database.exists() else "no such file"
        what = f"the database to which {beside[0] if beside else 'these backups'} beside it belongs"
        raise Faults([_fault(database, what, got)])


def _fault(database: Path, expected: str, got: str) -> Fault:
    backups = Backups(database=database).all()
    remedy = "There is no backup." if not backups else (
        f"`everyrung studio --restore` brings back the newest of {len(backups)} backups, {backups[0].name}."
    )  # fmt: skip
    remedy += " `--start-anew` sets this one aside and starts with an empty one."
    return Fault(where=Where(file=str(database), line=0, field="database"), expected=expected, got=got, remedy=remedy)


def set_aside(database: Path) -> None:
    """A database that is spoilt or lost is set aside, whole, among the backups."""
    for tail in ("", "-wal", "-shm"):
        path = database.with_name(database.name + tail)
        if path.exists():
            aside = Backups(database=database).folder / f"spoilt-{datetime.now(UTC):%Y%m%d-%H%M%S}{tail}"
            _private(aside)
            os.replace(path, aside)


def _copy(source: Path, target: Path) -> None:
    """One file, whatever of the source is still in its log."""
    with (
        closing(sqlite3.connect(f"{source.absolute().as_uri()}?mode=ro", uri=True, timeout=BUSY_S)) as old,
        closing(sqlite3.connect(target)) as new,
    ):
        old.backup(new)
        new.execute("PRAGMA journal_mode=DELETE")
    with target.open("rb+") as file:
        os.fsync(file.fileno())


def _close(database: Path) -> None:
    """Its log is put into it and taken away, which SQLite refuses while anybody else has it open."""
    with closing(sqlite3.connect(database, timeout=1.0)) as file:
        file.execute("PRAGMA journal_mode=DELETE")


def _erase(path: Path, deletions: Sequence[Deletion]) -> bool:
    try:
        with closing(sqlite3.connect(path, isolation_level=None)) as file:
            file.execute("PRAGMA journal_mode=MEMORY")  # or the pages before would be written once more
            file.execute("PRAGMA secure_delete=ON")  # overwritten where it lies; VACUUM then gives the place back
            tables = {name for (name,) in file.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
            for line, values in deletions:
                if line.split()[2] in tables:  # an older form lacks those that came later
                    file.execute(line, values)
            file.execute("VACUUM")
    except sqlite3.DatabaseError:
        return False
    return True


def _private(path: Path) -> Path:
    """An empty file that nobody else may open."""
    path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    with suppress(FileNotFoundError):
        path.unlink()
    path.touch(mode=FOR_THE_COACH_ALONE)
    return path


def _worth_keeping(newest_first: Sequence[Path]) -> set[Path]:
    last_of_day: dict[str, Path] = {}
    for path in newest_first:
        last_of_day.setdefault(path.name[:15], path)  # studio-YYYYMMDD
    return {*newest_first[:LATEST], *list(last_of_day.values())[:DAYS]}
