"""What every result can do: a repr of a few lines, plain values, JSON, tables, and a page for a notebook."""

from abc import ABC, abstractmethod
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from everyrung.terms.errors import Invalid, nearest, or_list

Values = dict[str, Any]
Rows = list[Values]
MAX_LINES = 10  # of a repr
MAX_LETTERS = 110  # of one of its lines; chosen, because a notebook's cell shows as many without breaking them


class Result(ABC):
    """Base of what the public functions return."""

    __slots__ = ()

    @abstractmethod
    def to_dict(self) -> Values:
        """The result as plain values: dicts, lists, words, numbers, None. Units are in the names."""

    @abstractmethod
    def _lines(self) -> Sequence[str]:
        """What it says in short, the class and its title first."""

    @abstractmethod
    def _tables(self) -> Mapping[str, Callable[[], Rows]]:
        """The rows of each table by its name, the main one first."""

    def to_json(self, indent: int | None = 2) -> str:
        """`to_dict` as JSON text (RFC 8259)."""
        import json  # only when asked for

        return json.dumps(self.to_dict(), indent=indent, ensure_ascii=False)

    def rows(self, table: str = "") -> Rows:
        """One of its tables as a list of dicts with the same keys; the main one without a name. Raises Invalid for
        another name, and for a table whose values nobody asked for.
        """
        tables = self._tables()
        name = table or next(iter(tables))
        if name not in tables:
            near = nearest(name, tables) if isinstance(name, str) else ""
            raise Invalid("table", or_list([repr(each) for each in tables]), name, nearest=near)
        return tables[name]()

    def to_frame(self, table: str = "") -> Any:
        """`rows` as a pandas.DataFrame. Raises Invalid as `rows`, and where pandas is not installed."""
        rows = self.rows(table)
        try:
            import pandas
        except ModuleNotFoundError:
            remedy = "Install it with `pip install pandas`, or take rows(), which needs nothing."
            raise Invalid("to_frame", "the library pandas", "none installed", remedy=remedy) from None
        return pandas.DataFrame(rows)

    def __repr__(self) -> str:
        lines = (line if len(line) <= MAX_LETTERS else f"{line[: MAX_LETTERS - 1]}…" for line in self._lines())
        return "\n".join(list(lines)[:MAX_LINES])

    def _picture(self) -> str:
        """SVG for a notebook, or nothing."""
        return ""

    def _repr_html_(self) -> str:
        picture = self._picture()
        score = f'<div style="overflow-x: auto"><div style="min-width: 60em">{picture}</div></div>' if picture else ""
        from html import escape  # slow to import, for notebooks alone

        return f'<div><pre style="white-space: pre-wrap">{escape(repr(self))}</pre>{score}</div>'


def absent(table: str, call: str) -> Invalid:
    """A table whose values were not asked for, with the call that asks for them."""
    return Invalid("table", "one that was computed", table, remedy=f"Call {call}.")
