"""The one reader of tables: head lines as comments, then CSV."""

import csv
from collections.abc import Collection, Mapping
from functools import cache
from math import isfinite
from pathlib import Path

from everyrung.terms.errors import nearest
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One row of a table that knows where it stands, so that a wrong cell can be found."""

    table: str
    number: int
    cells: Mapping[str, str]

    def text(self, column: str) -> str:
        """A cell as it is written. Raises ValueError when the row has no such cell."""
        value = self.cells.get(column)
        if value is None:
            raise self.wrong(column, "a cell", "none")
        return value

    def value(self, column: str, low: float, high: float) -> float:
        """A cell as a number from `low` to `high`, in the unit that the table's head says. Raises ValueError."""
        text = self.text(column)
        try:
            number = float(text)
        except ValueError:
            number = float("nan")
        if not isfinite(number) or not low <= number <= high:
            raise self.wrong(column, f"a number from {low:g} to {high:g}", repr(text))
        return number

    def word(self, column: str, words: Collection[str]) -> str:
        """A cell as one of the words that it may be. Raises ValueError with the nearest of them."""
        text = self.text(column)
        if text not in words:
            near = nearest(text, tuple(words))
            got = repr(text) + (f"; nearest: {near}" if near else "")
            raise self.wrong(column, f"one of {', '.join(sorted(words))}", got)
        return text

    def wrong(self, column: str, expected: str, got: str) -> ValueError:
        """What is to be said of a cell that is not what it should be."""
        first = next(iter(self.cells.values()), "")
        return ValueError(
            f"tables/{self.table}.csv, row {self.number} ({first}), column {column}: expected {expected}, got {got}. "
            "Correct that cell."
        )


def typed_rows(name: str) -> tuple[Row, ...]:
    """The rows of the table `name`, each to be read cell by cell. Raises ValueError as `read_table` does."""
    return tuple(Row(table=name, number=at, cells=cells) for at, cells in enumerate(read_table(name).rows, 1))
