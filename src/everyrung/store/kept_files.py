"""Files that took long to make, kept by their key in one folder. Never needed: without it all is made again.

A file that is spoilt and a folder where nothing can be written are passed over in silence: losing one costs only time.
"""

import hashlib
import os
from contextlib import suppress
from functools import cache
from pathlib import Path

from everyrung.store.files import FOR_THE_COACH_ALONE, replacement
from everyrung.store.paths import FOLDER_FOR_THE_COACH_ALONE, home

MOST_BYTES = 400_000_000  # chosen, because that is three sessions of half an hour with a voice
SPARED = 0.8  # of it; chosen, so that not every writing has to make room
DIGEST_BYTES = hashlib.sha256().digest_size


class KeptFiles:
    """Bytes by key in `folder`, each file with the digest of what it holds before it. Several processes may use it."""

    def __init__(self, folder: Path, most_bytes: int = MOST_BYTES) -> None:
        self.folder, self.most_bytes = folder, most_bytes

    def get(self, key: str) -> bytes | None:
        """What is kept under a key; None where there is nothing, or where it is not as it was written."""
        path = self.folder / key
        try:
            content = path.read_bytes()
            os.utime(path)  # used just now
        except OSError:
            return None
        body = content[DIGEST_BYTES:]
        return body if hashlib.sha256(body).digest() == content[:DIGEST_BYTES] else None

    def put(self, key: str, body: bytes) -> None:
        """Keeps it; what has been unused for longest goes when there is no more room. What is larger than half of the
        room is not kept.
        """
        if len(body) > self.most_bytes / 2:
            return
        with suppress(OSError):
            self.folder.mkdir(parents=True, exist_ok=True, mode=FOLDER_FOR_THE_COACH_ALONE)
            with replacement(self.folder / key, mode=FOR_THE_COACH_ALONE) as part:
                part.write_bytes(hashlib.sha256(body).digest() + body)
            self._make_room()

    def _make_room(self) -> None:
        there = sorted((stat.st_mtime_ns, stat.st_size, path) for path, stat in self._files())
        total = sum(size for _, size, _ in there)
        if total <= self.most_bytes:
            return
        for _, size, path in there:
            path.unlink(missing_ok=True)
            total -= size
            if total <= SPARED * self.most_bytes:
                return

    def _files(self) -> list[tuple[Path, os.stat_result]]:
        return [(path, path.stat()) for path in self.folder.iterdir() if path.is_file()]


@cache
def sound_store() -> KeptFiles:
    """Encoded sound, in the folder where everything is kept."""
    return KeptFiles(home() / "sounds")
