"""Whose each file is that was made with people, so that it goes when they go."""

import json
import sqlite3
from collections import defaultdict
from collections.abc import Callable, Collection, Iterable
from contextlib import closing, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from everyrung.store.files import FOR_THE_COACH_ALONE, replace_text
from everyrung.store.paths import home, keep_private
from everyrung.terms.person import same_name

T = TypeVar("T")
FILE = "owners.sqlite"
WAIT_S = 10.0  # chosen, because another process writes for some milliseconds
_MAKE = (
    "CREATE TABLE IF NOT EXISTS owner (path TEXT PRIMARY KEY, person INTEGER NOT NULL, name TEXT NOT NULL)",
    "PRAGMA secure_delete=ON",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Owner:
    """A person on the coach's list; number 0 for one of a people file, of whom the name is all that is known."""

    name: str
    person: int = 0


class Owners:
    """The owners of the files under one home."""

    def __init__(self, folder: Path) -> None:
        self._home = folder

    def note(self, paths: Iterable[Path], owner: Owner | None) -> None:
        """These files are to be made with this person; with None they are nobody's (a poster).

        What is written outside the home folder is the coach's own to look after, and is not noted.
        """
        name = same_name(owner.name) if owner else ""
        rows = [(inside, owner.person if owner else 0, name) for path in paths if (inside := self._inside(path))]
        if rows:
            keep_private(self._home)
            self._transact(lambda file: file.executemany("INSERT OR REPLACE INTO owner VALUES (?, ?, ?)", rows))

    def rename(self, person: int, before: str) -> None:
        """What was made from a people file for somebody of that name stays theirs under their new one."""
        same = (person, same_name(before))
        self._transact(lambda file: file.execute("UPDATE owner SET person = ? WHERE person = 0 AND name = ?", same))

    def files(self) -> frozenset[Path]:
        """Every file that is noted."""
        rows: list[tuple[str]] = self._transact(lambda file: file.execute("SELECT path FROM owner").fetchall())
        return frozenset(self._home / path for (path,) in rows)

    def files_of(self, people: Collection[Owner]) -> frozenset[Path]:
        """The files made with any of these."""
        return frozenset(path for files in self.files_by(people).values() for path in files)

    def files_by(self, people: Collection[Owner]) -> dict[Owner, frozenset[Path]]:
        """The files made with each of these, read once for all of them."""
        rows: list[tuple[str, int, str]] = self._transact(lambda file: file.execute("SELECT * FROM owner").fetchall())
        by_number: defaultdict[int, set[Path]] = defaultdict(set)
        by_name: defaultdict[str, set[Path]] = defaultdict(set)
        for path, person, name in rows:
            (by_number[person] if person else by_name[name]).add(self._home / path)
        return {each: frozenset(by_number[each.person] | by_name[same_name(each.name)]) for each in people}

    def forget(self, paths: Iterable[Path]) -> None:
        """These are no more."""
        rows = [(inside,) for path in paths if (inside := self._inside(path))]
        self._transact(lambda file: file.executemany("DELETE FROM owner WHERE path = ?", rows))

    def release(self) -> None:
        """Numbers hold for one database: after a restored one only names are left of them."""
        self._transact(lambda file: file.execute("UPDATE owner SET person = 0"))

    def _inside(self, path: Path) -> str:
        """The path below the home folder; '' for one elsewhere."""
        whole, within = path.resolve(), self._home.resolve()
        return whole.relative_to(within).as_posix() if whole.is_relative_to(within) else ""

    def _transact(self, work: Callable[[sqlite3.Connection], T]) -> T:
        """Raises OSError when it can't be read or written, so that no card is made that nobody could find again."""
        path = self._home / FILE
        try:
            self._home.mkdir(parents=True, exist_ok=True)
            path.touch(mode=0o600)
            with closing(sqlite3.connect(path, timeout=WAIT_S)) as file, file:
                for line in _MAKE:
                    file.execute(line)
                return work(file)
        except sqlite3.Error as problem:
            raise OSError(0, f"whose the cards are could not be noted or read: {problem}", str(path)) from None


def owners() -> Owners:
    """Those of the folder where everything is kept."""
    return Owners(home())


# FIX


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
    paths = owners.files_of(people) | (there - owners.files())
    count = 0
    for path in sorted(paths):
        count += path.exists()
        path.unlink(missing_ok=True)
        with suppress(OSError):
            path.parent.rmdir()  # only when it was the last one
    for path in folder.glob(MANIFESTS):
        _strike_out(path)
    for path in folder.glob(STATES):
        path.unlink()
    owners.forget(paths)
    return count


def _strike_out(manifest: Path) -> None:
    """A manifest without the lines of files that are gone; one that can't be read goes, for it may name anybody."""
    try:
        values = json.loads(manifest.read_text(encoding="utf-8"))
        left = [each for each in values["files"] if (manifest.parent / each["name"]).exists()]
    except (ValueError, KeyError, TypeError):
        manifest.unlink()
        return
    if left != values["files"]:
        text = json.dumps(values | {"files": left}, indent=2, ensure_ascii=False) + "\n"
        replace_text(manifest, text, mode=FOR_THE_COACH_ALONE)
