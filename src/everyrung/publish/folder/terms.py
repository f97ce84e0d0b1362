"""What a folder holds."""

from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any, Self

from everyrung.terms.cue import Track

Files = Iterator[tuple[Path, str]]  # each with what it is
NAMES = {Track.FIRST: "first-time", Track.AGAIN: "again"}  # within the names of files
MANIFEST = "manifest.json"


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """What was made, how long each step took (ms), and what is to be known about it; `kept`: parts from before."""

    products: tuple[Product, ...]
    steps_ms: tuple[tuple[str, int], ...]
    notes: tuple[str, ...]
    kept: tuple[str, ...] = ()
