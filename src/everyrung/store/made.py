"""What was made with people goes with them: their cards in every folder of the home, their lines in manifests."""

import json
from collections.abc import Collection
from contextlib import suppress
from pathlib import Path

from everyrung.store.atomic import FOR_THE_COACH_ALONE, replace_text
from everyrung.store.owners import Owner, Owners

CARDS = ("cards/**/*", "published/**/cards/**/*")  # where under the home cards are written
MANIFESTS = "published/**/manifest.json"
STATES = "published/**/.unfinished.json"  # of a folder that was stopped: without it the next making starts anew


def erase_made(folder: Path, people: Collection[Owner]) -> int:
    """Deletes what was made with these people under the home `folder`; how many files it was.

    A card of which nobody noted whose it is (of an older version, or left half-written by a crash) may be anyone's,
    and goes too. Raises OSError for what can't be deleted.
    """
    owners = Owners(folder)
    there = {path for pattern in CARDS for path in folder.glob(pattern) if path.is_file() or path.is_symlink()}
    gone = owners.files_of(people) | (there - owners.known())
    count = 0
    for path in sorted(gone):
        count += path.exists()
        path.unlink(missing_ok=True)
        with suppress(OSError):
            path.parent.rmdir()  # only when it was the last one
    for path in folder.glob(MANIFESTS):
        _strike_out(path)
    for path in folder.glob(STATES):
        path.unlink()
    owners.forget(gone)
    return count


def _strike_out(manifest: Path) -> None:
    """A manifest without the lines of files that are gone; one that can't be read goes, for it may name anybody."""
    try:
        found = json.loads(manifest.read_text(encoding="utf-8"))
        left = [each for each in found["files"] if (manifest.parent / each["name"]).exists()]
    except (ValueError, KeyError, TypeError):
        manifest.unlink()
        return
    if left != found["files"]:
        text = json.dumps(found | {"files": left}, indent=2, ensure_ascii=False) + "\n"
        replace_text(manifest, text, mode=FOR_THE_COACH_ALONE)
