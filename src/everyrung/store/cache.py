"""Computed results kept by their digest, in one SQLite file. Never needed: without it all is computed again.

A file that is spoilt, locked or in a place where nothing can be written is passed over in silence, for losing a result
costs only time.
"""

import sqlite3
import time
import zlib
from collections.abc import Iterator, Mapping, Sequence
from contextlib import closing, contextmanager
from functools import cache
from pathlib import Path

from everyrung.store.home import home

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
        found: dict[str, str] = {}
        if not self.path.exists():
            return found
        with self._open() as file:
            for start in range(0, len(keys), AT_ONCE):
                some = keys[start : start + AT_ONCE]
                marks = ",".join("?" * len(some))
                rows = file.execute(f"SELECT key, value FROM result WHERE key IN ({marks})", some).fetchall()
                found |= {key: zlib.decompress(value).decode() for key, value in rows}
            file.executemany("UPDATE result SET used_ms = ? WHERE key = ?", [(_now_ms(), key) for key in found])
        return found

    def put_many(self, values: Mapping[str, str]) -> None:
        """Keeps these; the longest unused go when there is no more room."""
        rows = [(key, zlib.compress(value.encode()), _now_ms()) for key, value in values.items()]
        with self._open() as file:
            file.executemany("INSERT OR REPLACE INTO result VALUES (?, ?, ?)", rows)
            self._make_room(file)

    def _make_room(self, file: sqlite3.Connection) -> None:
        (total,) = file.execute("SELECT COALESCE(SUM(LENGTH(value)), 0) FROM result").fetchone()
        if total <= self.most_bytes:
            return
        for key, size in file.execute("SELECT key, LENGTH(value) FROM result ORDER BY used_ms, key").fetchall():
            file.execute("DELETE FROM result WHERE key = ?", (key,))
            total -= size
            if total <= SPARED * self.most_bytes:
                return

    @contextmanager
    def _open(self) -> Iterator[sqlite3.Connection]:
        """A connection whose work is kept whole or not at all; what goes wrong with the file ends the block quietly."""
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            with closing(sqlite3.connect(self.path, timeout=WAIT_S)) as file:
                file.execute("PRAGMA journal_mode=WAL")
                file.execute("PRAGMA synchronous=OFF")
                file.execute(_MAKE)
                with file:
                    yield file
        except sqlite3.OperationalError:
            return  # locked, full, or nothing can be written here
        except (sqlite3.DatabaseError, zlib.error, UnicodeDecodeError):
            self._set_aside()
        except OSError:
            return

    def _set_aside(self) -> None:
        """A spoilt file is taken out of the way, for it would never get better."""
        for path in (self.path, *(self.path.with_name(self.path.name + tail) for tail in ("-wal", "-shm"))):
            try:
                path.unlink(missing_ok=True)
            except OSError:
                return


def _now_ms() -> int:
    return int(time.time() * 1000)


@cache
def default_cache() -> Cache:
    """The cache in the folder where everything is kept."""
    return Cache(home() / "computed.sqlite")
