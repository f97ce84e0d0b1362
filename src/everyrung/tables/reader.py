"""The one reader of tables: head lines as comments, then CSV."""

import csv
from functools import cache
from pathlib import Path

from everyrung.terms.frozen import dataclass

FOLDER = Path(__file__).parent
HEAD = ("source", "place", "units", "copied", "checked")


@dataclass(frozen=True, slots=True, kw_only=True)
class TableText:
    """A table's head lines and its rows by column name."""

    name: str
    head: dict[str, str]
    rows: tuple[dict[str, str], ...]


@cache
def read_table(name: str) -> TableText:
    """The table `name`.csv of this package. Raises ValueError when a head line is missing."""
    lines = (FOLDER / f"{name}.csv").read_text(encoding="utf-8").splitlines()
    head = dict(line[2:].split(": ", 1) for line in lines if line.startswith("# "))
    missing = [key for key in HEAD if key not in head]
    if missing:
        raise ValueError(f"table {name}: head lines missing: {', '.join(missing)}")
    rows = tuple(csv.DictReader(line for line in lines if not line.startswith("#")))
    return TableText(name=name, head=head, rows=rows)
