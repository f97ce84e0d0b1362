"""Computed results kept by their digest, in one SQLite file. Never needed: without it all is computed again.

A file that is spoilt, locked or in a place where nothing can be written is passed over in silence, for losing a result
costs only time.
"""

import sqlite3
import time
import zlib
from collections.abc import Callable, Mapping, Sequence
from contextlib import closing
from functools import cache
from pathlib import Path
from typing import TypeVar

from everyrung.store.paths import home

T = TypeVar("T")
MOST_BYTES = 200_000_000  # chosen, because that is some 10,000 rungs and bodies, and small beside one video
SPARED = 0.8  # of it; chosen, so that not every writing has to make room
AT_ONCE = 500  # keys in one question; SQLite takes 999 at least
WAIT_S = 5.0  # chosen, because another process writes for some milliseconds
_MAKE = "CREATE TABLE IF NOT EXISTS result (key TEXT PRIMARY KEY, value BLOB NOT NULL, used_ms INTEGER NOT NULL)"


class Cache:
    """Text by key, at `path`. Several processes may use it at once."""

    def __init__(self, path: Path, most_bytes: int = MOST_BYTES) -> None:
        self.path, self.most_bytes = path, most_bytes

    def get_many(self, keys: Sequence[str]) -> dict[str, str]:
        """What is known of these keys."""
        return self._transact(lambda file: _get(file, keys)) or {} if self.path.exists() else {}

    def put_many(self, values: Mapping[str, str]) -> None:
        """Keeps these; the longest unused go when there is no more room."""
        rows = [(key, zlib.compress(value.encode()), _now_ms()) for key, value in values.items()]

        def put(file: sqlite3.Connection) -> None:
            file.executemany("INSERT OR REPLACE INTO result VALUES (?, ?, ?)", rows)
            self._make_room(file)

        self._transact(put)

    def _make_room(self, file: sqlite3.Connection) -> None:
        (total,) = file.execute("SELECT COALESCE(SUM(LENGTH(value)), 0) FROM result").fetchone()
        if total <= self.most_bytes:
            return
        for key, size in file.execute("SELECT key, LENGTH(value) FROM result ORDER BY used_ms, key").fetchall():
            file.execute("DELETE FROM result WHERE key = ?", (key,))
            total -= size
            if total <= SPARED * self.most_bytes:
                return

    def _transact(self, work: Callable[[sqlite3.Connection], T]) -> T | None:
        """Work done whole or not at all; None when the file does not allow it."""
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            with closing(sqlite3.connect(self.path, timeout=WAIT_S)) as file:
                file.execute("PRAGMA synchronous=OFF")  # no WAL: going over to it fails at once when others write
                file.execute(_MAKE)
                with file:
                    return work(file)
        except (sqlite3.OperationalError, OSError):
            return None  # locked, full, or nothing can be written here
        except (sqlite3.DatabaseError, zlib.error, UnicodeDecodeError):
            self._set_aside()
            return None

    def _set_aside(self) -> None:
        """A spoilt file is taken out of the way, for it would never get better."""
        for path in (self.path, *(self.path.with_name(self.path.name + tail) for tail in ("-wal", "-shm"))):
            try:
                path.unlink(missing_ok=True)
            except OSError:
                return


def _get(file: sqlite3.Connection, keys: Sequence[str]) -> dict[str, str]:
    result: dict[str, str] = {}
    for start in range(0, len(keys), AT_ONCE):
        some = keys[start : start + AT_ONCE]
        marks = ",".join("?" * len(some))
        rows = file.execute(f"SELECT key, value FROM result WHERE key IN ({marks})", some).fetchall()
        result |= {key: zlib.decompress(value).decode() for key, value in rows}
    file.executemany("UPDATE result SET used_ms = ? WHERE key = ?", [(_now_ms(), key) for key in result])
    return result


def _now_ms() -> int:
    return int(time.time() * 1000)


@cache
def default_cache() -> Cache:
    """The cache in the folder where everything is kept."""
    return Cache(home() / "computed.sqlite")
