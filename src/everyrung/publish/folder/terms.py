"""What a folder holds."""

from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any, Self

from everyrung.results.result import Result, Rows, Values

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
            *([] if self.clean else ["  findings forbid leading it: see the coach's notes"]),
            *([f"  kept from before: {', '.join(self.kept)}"] if self.kept else []),
            f"  notes: {len(self.notes)}",
            f"  tables: {', '.join(self._tables())}",
        ]

    def _picture(self) -> str:
        """The score that was published; nothing when the file is gone."""
        name = next((one.name for one in self.products if one.name.endswith("-score.svg")), "")
        path = self.folder / name
        return path.read_text(encoding="utf-8") if path.is_file() else ""
