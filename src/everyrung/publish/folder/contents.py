"""What a folder holds.

A folder that is being made: marked so until its manifest stands, and resumed where it was broken off.
"""

import json
import shutil
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass
from hashlib import sha256
from pathlib import Path
from typing import Any, Self

from everyrung.results.result import Result, Rows, Values
from everyrung.store.files import FOR_THE_COACH_ALONE, replace_text

MANIFEST = "manifest.json"
SHOWN = 6  # files named in a repr; chosen, because they fit on its line


@dataclass(frozen=True, slots=True, kw_only=True)
class Product:
    """A file of the folder: its name, what it is, how large."""

    name: str
    what: str
    bytes: int
    sha256: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """What one step made, and what is to be known about it."""

    products: tuple[Product, ...]
    notes: tuple[str, ...]

    def values(self) -> dict[str, Any]:
        """As plain values."""
        return {"products": [asdict(one) for one in self.products], "notes": list(self.notes)}

    @classmethod
    def of(cls, values: Mapping[str, Any]) -> Self:
        """From plain values. Raises TypeError or KeyError for others."""
        products = tuple(Product(**one) for one in values["products"])
        return cls(products=products, notes=tuple(str(note) for note in values["notes"]))


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Publication(Result):
    """A folder for people and a channel: its products, how long each step took (ms), and what is to be known about it.

    `kept`: parts that were there from before. `clean`: no finding forbids leading it.
    """

    title: str
    folder: Path
    products: tuple[Product, ...]
    steps_ms: tuple[tuple[str, int], ...]
    notes: tuple[str, ...]
    kept: tuple[str, ...] = ()
    clean: bool = True

    def to_dict(self) -> Values:
        """The files with their digests (SHA-256), the notes, and how long each step took."""
        return {
            "title": self.title,
            "folder": str(self.folder),
            "clean": self.clean,
            "files": self._file_rows(),
            "notes": list(self.notes),
            "steps_ms": dict(self.steps_ms),
            "kept": list(self.kept),
        }

    def _tables(self) -> Mapping[str, Callable[[], Rows]]:
        return {"files": self._file_rows, "steps": self._step_rows}

    def _file_rows(self) -> Rows:
        return [asdict(one) for one in self.products]

    def _step_rows(self) -> Rows:
        return [{"step": name, "lasting_ms": lasting_ms} for name, lasting_ms in self.steps_ms]

    def _lines(self) -> list[str]:
        names = [one.name for one in self.products]
        more = f" and {len(names) - SHOWN} more" if len(names) > SHOWN else ""
        return [
            f"Publication of {self.title!r}",
            f"  {len(names)} files, {sum(one.bytes for one in self.products) / 1e6:.1f} MB, in {self.folder}",
            f"  {', '.join(names[:SHOWN])}{more}",
            *([] if self.clean else ["  not to be led as it is: see the coach's notes"]),
            *([f"  kept from before: {', '.join(self.kept)}"] if self.kept else []),
            f"  notes: {len(self.notes)}",
            f"  tables: {', '.join(self._tables())}",
        ]

    def _picture(self) -> str:
        """The score that was published; nothing when the file is gone."""
        name = next((one.name for one in self.products if one.name.endswith("-score.svg")), "")
        path = self.folder / name
        return path.read_text(encoding="utf-8") if path.is_file() else ""


MARK = "UNFINISHED.txt"
STATE = ".unfinished.json"  # names the files of people's cards: store/owners.py and store/paths.py know of it
FILM = ".film"  # pieces of a film that is being encoded


class FolderInProgress:
    """The parts of one making, by name; `inputs` is the digest of all that they depend on."""

    def __init__(self, folder: Path, inputs: str, names: Sequence[str]) -> None:
        """What an earlier making of the same inputs left is kept; what one of other inputs left goes, and so does the
        manifest, which is no longer true. A file that somebody changed meanwhile is nobody's to take away.
        """
        self.folder, self._inputs, self._names = folder, inputs, tuple(names)
        self._parts: dict[str, Part] = {}
        state = _read(folder / STATE)
        if state.get("inputs") == inputs:
            self._parts = _parts(state)
        else:
            _clear(folder, [*_files(state), *_read(folder / MANIFEST).get("files", [])])
            shutil.rmtree(folder / FILM, ignore_errors=True)
        (folder / MANIFEST).unlink(missing_ok=True)
        self._mark()

    def whole_part(self, name: str) -> Part | None:
        """A part that is there whole, each of its files with the digest that it was written with."""
        part = self._parts.get(name)
        if part and all(_same(self.folder / one.name, one.sha256) for one in part.products):
            return part
        return None

    def keep(self, name: str, part: Part) -> None:
        """A part is made."""
        self._parts[name] = part
        self._mark()

    def finish(self, manifest: str, mode: int | None) -> None:
        """The manifest stands, and the mark goes."""
        replace_text(self.folder / MANIFEST, manifest, mode=mode)
        shutil.rmtree(self.folder / FILM, ignore_errors=True)
        for name in (STATE, MARK):
            (self.folder / name).unlink(missing_ok=True)

    def _mark(self) -> None:
        parts = {name: part.values() for name, part in self._parts.items()}
        state = {"inputs": self._inputs, "names": self._names, "parts": parts}
        replace_text(self.folder / STATE, json.dumps(state, ensure_ascii=False), mode=FOR_THE_COACH_ALONE)
        missing = [name for name in self._names if name not in self._parts]
        replace_text(self.folder / MARK, mark_text(len(self._names) - len(missing), missing))


@dataclass(frozen=True, slots=True, kw_only=True)
class FolderState:
    """How far a folder has come that is not finished."""

    parts: int
    missing: tuple[str, ...]


def folder_state(folder: Path) -> FolderState | None:
    """How far; None for a folder that is finished or was never begun."""
    state = _read(folder / STATE)
    names = [str(name) for name in state.get("names", [])]
    if not names:
        return None
    parts = _parts(state)
    return FolderState(parts=len(names), missing=tuple(name for name in names if name not in parts))


def mark_text(there: int, missing: Sequence[str]) -> str:
    """What stands in the mark."""
    lines = [
        "This folder is not finished: it is still being made, or was stopped. Don't publish it yet.",
        f"{there} of {there + len(missing)} parts are there. Missing: {', '.join(missing) or 'the manifest'}.",
        "Publish again with the same choices: what is there is kept, and this file goes when everything is there.",
    ]
    return "\n".join(lines) + "\n"


def _read(path: Path) -> dict[str, Any]:
    try:
        values = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
        return {}  # not there, or spoilt: then it is made anew
    return values if isinstance(values, dict) else {}


def _parts(state: Mapping[str, Any]) -> dict[str, Part]:
    try:
        return {str(name): Part.of(values) for name, values in state.get("parts", {}).items()}
    except (TypeError, KeyError, AttributeError):
        return {}


def _files(state: Mapping[str, Any]) -> list[dict[str, str]]:
    return [{"name": one.name, "sha256": one.sha256} for part in _parts(state).values() for one in part.products]


def _clear(folder: Path, files: Sequence[Any]) -> None:
    for each in files:
        if isinstance(each, dict) and _inside(folder, str(each.get("name", ""))):
            path = folder / str(each["name"])
            if _same(path, str(each.get("sha256", ""))):
                path.unlink(missing_ok=True)


def _inside(folder: Path, name: str) -> bool:
    """A name of the manifest never leads out of its folder."""
    return bool(name) and (folder / name).resolve().is_relative_to(folder.resolve())


def _same(path: Path, digest: str) -> bool:
    try:
        return sha256(path.read_bytes()).hexdigest() == digest
    except OSError:
        return False


def product(path: Path, folder: Path, what: str) -> Product:
    """A file as the manifest has it."""
    content = path.read_bytes()
    name = path.relative_to(folder).as_posix()
    return Product(name=name, what=what, bytes=len(content), sha256=sha256(content).hexdigest())
