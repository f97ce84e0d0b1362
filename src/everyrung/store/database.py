"""Opening the studio's database: SQLite in the home folder, or what EVERYRUNG_DATABASE names; at its newest form."""

import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from alembic import command
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import URL, Connection, Engine, create_engine, event, make_url, text
from sqlalchemy.exc import ArgumentError, DatabaseError, SQLAlchemyError

from everyrung.store.backups import Backups, check, check_there, set_aside
from everyrung.store.files import FOR_THE_COACH_ALONE
from everyrung.store.paths import home, keep_private
from everyrung.terms.errors import Fault, Faults, Where

VARIABLE = "EVERYRUNG_DATABASE"
WAIT_S = 10  # for another writer; chosen, because a save takes milliseconds
_LOCK = 8040  # of PostgreSQL's advisory locks, taken while the form is brought up to date; chosen, any number does


def database_url() -> URL:
    """Where the database is. Raises Faults when EVERYRUNG_DATABASE is no address."""
    address = os.environ.get(VARIABLE)
    if not address:
        return URL.create("sqlite", database=str(home() / "studio.sqlite"))
    try:
        return make_url(address)
    except ArgumentError:
        raise _faults("environment", VARIABLE, "an address such as postgresql+psycopg://user@host/name", "no address",
                      "Mend it, or unset it to keep everything in one file.") from None  # fmt: skip


def open_database(url: URL) -> Engine:
    """An engine whose database is there and at its newest form. Raises Faults in words; spoilt files are left alone."""
    try:
        if url.get_backend_name() == "sqlite" and url.database not in (None, "", ":memory:"):
            path = Path(str(url.database))
            if path.parent == home():
                keep_private(path.parent)
            path.parent.mkdir(parents=True, exist_ok=True)
            path.touch(mode=FOR_THE_COACH_ALONE)
        engine = _engine(url)
        with engine.connect() as connection, _alone(connection):
            _upgrade(connection)
    except OSError as problem:
        raise _unusable(url, problem.strerror or str(problem)) from None
    except ModuleNotFoundError as problem:
        raise _unusable(url, f"the Python package {problem.name}, which is not installed") from None
    except DatabaseError as problem:
        raise _unusable(url, str(problem.orig).strip().splitlines()[0]) from None
    except SQLAlchemyError as problem:
        raise _unusable(url, str(problem).splitlines()[0]) from None
    return engine


def database_file(url: URL) -> Path | None:
    """The file of an SQLite database; None for a server's, whose own tools make its backups."""
    return Path(str(url.database)) if url.get_backend_name() == "sqlite" else None


def open_with_backups(url: URL, *, start_anew: bool = False) -> tuple[Engine, Backups | None]:
    """The database, sound and at its newest form, with a backup of it as it is now; None for a server's.

    `start_anew` sets one that is spoilt or lost aside. Raises Faults in words, for one that is lost too.
    """
    path = database_file(url)
    if path is None:
        return open_database(url), None
    if start_anew:
        set_aside(path)
    else:
        check_there(path)
    if path.exists():
        check(path, path)
    engine, backups = open_database(url), Backups(database=path)
    backups.take()
    return engine, backups


def _engine(url: URL) -> Engine:
    if url.get_backend_name() != "sqlite":
        return create_engine(url, pool_pre_ping=True, hide_parameters=True)
    engine = create_engine(url, connect_args={"timeout": WAIT_S}, hide_parameters=True)
    event.listen(engine, "connect", _prepare)
    event.listen(engine, "begin", _begin)
    return engine


def _prepare(connection: sqlite3.Connection, _record: Any) -> None:
    """Nothing that was acknowledged is lost with the power; what is deleted is overwritten."""
    connection.isolation_level = None  # so that BEGIN is ours
    for line in ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON", "secure_delete=ON"):
        connection.execute(f"PRAGMA {line}")


def _begin(connection: Connection) -> None:
    """A reader is no writer: only what asks for it takes the one lock there is."""
    writes = connection.get_execution_options().get("writes", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


@contextmanager
def _alone(connection: Connection) -> Iterator[None]:
    """Two studios that start at once bring the form up to date one after the other."""
    if connection.dialect.name == "sqlite":
        connection = connection.execution_options(writes=True)
        with connection.begin():
            yield
        return
    with connection.begin():
        connection.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": _LOCK})
        yield


def config(connection: Connection) -> Config:
    """Alembic's, for this package's steps."""
    result = Config()
    result.set_main_option("script_location", str(files("everyrung.store") / "migrations").replace("%", "%%"))
    result.attributes["connection"] = connection
    return result


@cache
def _steps() -> tuple[str, ...]:
    """The revisions of this package's steps, the newest first."""
    place = str(files("everyrung.store") / "migrations")
    return tuple(each.revision for each in ScriptDirectory(place).walk_revisions())


def _upgrade(connection: Connection) -> None:
    revisions = _steps()
    current = MigrationContext.configure(connection).get_current_revision()
    if current == revisions[0]:
        return
    if current is not None and current not in revisions:
        raise _faults(_name(connection.engine.url), "form", "a database of this version of Everyrung or an older one",
                      f"one of a newer version ({current})", "Update Everyrung. Nothing was changed.")  # fmt: skip
    command.upgrade(config(connection), "head")


def _unusable(url: URL, why: str) -> Faults:
    remedy = "Check the folder, its permissions and the disk; a damaged file is left as it is."
    if url.get_backend_name() == "sqlite":
        remedy += " `everyrung studio --restore` brings back a backup; `--start-anew` sets the file aside."
    return _faults(_name(url), "database", "a database that can be opened", why, remedy)


def _name(url: URL) -> str:
    return str(url.database) if url.get_backend_name() == "sqlite" else url.render_as_string(hide_password=True)


def _faults(file: str, field: str, expected: str, got: str, remedy: str) -> Faults:
    return Faults([Fault(where=Where(file=file, line=0, field=field), expected=expected, got=got, remedy=remedy)])
