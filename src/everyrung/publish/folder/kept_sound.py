"""Sound that was encoded before: the same beeps and clips in the same way are the same files, and taken as they are."""

import hashlib
import json
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from everyrung.publish.audio.files import mp3_possible
from everyrung.publish.audio.sound import Clip
from everyrung.publish.output import Files
from everyrung.runsheet.beeps import Beep
from everyrung.store.digest import code_digest, digest, versions
from everyrung.store.files import replace_bytes
from everyrung.store.kept_files import KeptFiles, sound_store

CODE = ("everyrung.publish.audio", "everyrung.publish.folder.sound")
LIBRARIES = ("av", "numpy", "scipy", "pyloudnorm")  # that make the bytes


def sound_key(files: str, marks: Sequence[Beep], total_ms: int, clips: Sequence[Clip]) -> str:
    """A digest of all that some files of sound depend on; `files` says which they are."""
    sounds = [(clip.at_ms, hashlib.sha256(clip.samples.data).hexdigest()) for clip in clips]
    return digest(files, list(marks), total_ms, sounds, code_digest(*CODE), versions(*LIBRARIES), mp3_possible())


def kept_or_made(
    key: str, folder: Path, notes: list[str], make: Callable[[list[str]], Files], store: KeptFiles | None = None
) -> Files:
    """The files and notes that `make` would write into the folder: as they were kept under their key, else made and
    kept. Raises OSError where they cannot be written.
    """
    store = store or sound_store()
    rows = _rows(store.get(key))
    bodies = [store.get(digest(key, row["name"])) for row in rows["files"]] if rows else [None]
    if rows and None not in bodies:
        for row, body in zip(rows["files"], bodies, strict=True):
            replace_bytes(folder / row["name"], body or b"")
            yield folder / row["name"], row["what"]
        notes += rows["notes"]
        return
    own: list[str] = []
    files = list(make(own))
    for path, _ in files:
        store.put(digest(key, path.name), path.read_bytes())
    listing = {"files": [{"name": path.name, "what": what} for path, what in files], "notes": own}
    store.put(key, json.dumps(listing, ensure_ascii=False).encode())
    notes += own
    yield from files


def _rows(content: bytes | None) -> dict[str, Any] | None:
    """The listing of an earlier making; whole, for its digest was right."""
    return json.loads(content) if content else None
