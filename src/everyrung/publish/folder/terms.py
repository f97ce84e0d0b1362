"""What a folder holds."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from everyrung.terms.cue import Track

Files = Iterator[tuple[Path, str]]  # each with what it is
NAMES = {Track.FIRST: "first-time", Track.AGAIN: "again"}  # within the names of files


@dataclass(frozen=True, slots=True, kw_only=True)
class Product:
    """A file of the folder: its name, what it is, how large."""

    name: str
    what: str
    bytes: int
    sha256: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """What was made, how long each step took (ms), and what is to be known about it."""

    products: tuple[Product, ...]
    steps_ms: tuple[tuple[str, int], ...]
    notes: tuple[str, ...]
