"""Typed fields of a TOML table. Every fault of a file is collected, so that all can be mended in one go."""

import re
from collections.abc import Callable, Iterator
from contextlib import suppress
from enum import StrEnum
from typing import Any, TypeVar, cast

from everyrung.parsing.line_numbers import KeyPath, LineNumbers
from everyrung.terms.errors import Fault, Faults, Invalid, Where, fault_at, member, nearest, or_list

T = TypeVar("T")
E = TypeVar("E", bound=StrEnum)
REQUIRED: Any = object()
MAX_FAULTS = 100  # chosen, because nobody mends more than that before looking again


class Skip(Exception):
    """A table had faults (already recorded), so nothing is built from it."""


class FileFaults:
    """One file being read: its faults and its line numbers."""

    def __init__(self, file: str, text: str) -> None:
        self.file = file
        self.faults: list[Fault] = []
        self._places = LineNumbers(text)

    def where(self, path: KeyPath) -> Where:
        return Where(file=self.file, line=self._places.line(path), field=field_path(path))

    def fault(self, path: KeyPath, problem: Invalid) -> None:
        """Records a fault; raises Faults at once when there are more than anyone would mend in one go."""
        self.faults.append(fault_at(self.where(path), problem))
        if len(self.faults) >= MAX_FAULTS:
            raise Faults(self.faults)

    def finish(self) -> None:
        """Raises Faults if there are any."""
        if self.faults:
            raise Faults(self.faults)


class Table:
    """One TOML table being read: take each known field, then `check_fields`."""

    def __init__(self, reading: FileFaults, values: dict[str, Any], path: KeyPath = ()) -> None:
        self.reading, self.path = reading, path
        self._values = values
        self._fields: list[str] = []
        self._faults_before = len(reading.faults)

    @property
    def where(self) -> Where:
        return self.reading.where(self.path)

    def line(self) -> int:
        """The line where it begins, from 1."""
        return self.where.line

    @property
    def names(self) -> tuple[str, ...]:
        """The fields that are written, in their order."""
        return tuple(self._values)

    @property
    def places(self) -> dict[str, Where]:
        """Where each field that is written stands."""
        return {key: self.reading.where((*self.path, key)) for key in self._values}

    @property
    def clean(self) -> bool:
        """No fault so far in this table or in what was read inside it."""
        return len(self.reading.faults) == self._faults_before

    def has(self, key: str) -> bool:
        return key in self._values

    def take(self, key: str, parse: Callable[[Any], T], default: T = REQUIRED) -> T:
        """The field `key` through `parse` (which raises Invalid). A fault is recorded; `check_fields` then raises."""
        self._fields.append(key)
        if key not in self._values:
            if default is REQUIRED:
                self._record((*self.path, key), Invalid(key, "this field", "nothing", remedy=f"Add `{key} = …`."))
            return default
        try:
            return parse(self._values[key])
        except Invalid as problem:
            self._record((*self.path, key), problem)
        except Skip:
            pass
        return cast(T, None)

    def many(self, key: str, parse: Callable[[Any], T]) -> tuple[T, ...]:
        """A list field, each element through `parse`, each fault at its own place."""
        values: list[T] = []
        for place, value in enumerate(self._list(key)):
            try:
                values.append(parse(value))
            except Invalid as problem:
                self._record((*self.path, key, place), problem)
        return tuple(values)

    def table(self, key: str) -> "Table":
        """The sub-table `key`; empty when it is not written."""
        return Table(self.reading, self._dict(key), (*self.path, key))

    def tables(self, key: str) -> Iterator["Table"]:
        """The list of tables `key`, each to be read inside `attempt`."""
        for place, values in enumerate(self._list(key)):
            path = (*self.path, key, place)
            if isinstance(values, dict):
                yield Table(self.reading, values, path)
            else:
                self._record(path, Invalid(key, "a table of fields", values))

    def named_tables(self, key: str) -> Iterator[tuple[str, "Table"]]:
        """The sub-tables of `key` by their names."""
        for name, values in self._dict(key).items():
            path = (*self.path, key, name)
            if isinstance(values, dict):
                yield name, Table(self.reading, values, path)
            else:
                self._record(path, Invalid(name, "a table of fields", values))

    def _list(self, key: str) -> list[Any]:
        empty: list[Any] = []
        return self.take(key, as_list, empty) or empty

    def _dict(self, key: str) -> dict[str, Any]:
        empty: dict[str, Any] = {}
        return self.take(key, as_table, empty) or empty

    def check_fields(self) -> None:
        """Refuses fields that nobody asked for; raises Skip when this table had any fault."""
        for key in self._values:
            if key not in self._fields:
                near = nearest(key, self._fields)
                remedy = f"Known here: {or_list(sorted(self._fields), 30)}."
                self._record((*self.path, key), Invalid(key, "a known field", key, nearest=near, remedy=remedy))
        if not self.clean:
            raise Skip

    def finish(self) -> None:
        """The end of a whole file: `check_fields`, then Faults if there are any."""
        with suppress(Skip):
            self.check_fields()
        self.reading.finish()

    def build(self, make: Callable[..., T], **fields: Any) -> T:
        """`check_fields`, then the term from its fields; a value the term refuses becomes a fault."""
        self.check_fields()
        try:
            return make(**fields)
        except Invalid as problem:
            self._record((*self.path, problem.field), problem)
            raise Skip from None

    def _record(self, path: KeyPath, problem: Invalid) -> None:
        self.reading.fault(path, problem)


def attempt(tables: Iterator[Table], read: Callable[[Table], T]) -> tuple[T, ...]:
    """Reads each table, leaving out (after recording) those with faults."""
    terms: list[T] = []
    for table in tables:
        try:
            terms.append(read(table))
        except Skip:
            continue
    return tuple(terms)


def field_path(path: KeyPath) -> str:
    """'block[2].round[1].cell.lunge' for a key path; list places count from 1, as people do."""
    text = ""
    for part in path:
        text += f"[{part + 1}]" if isinstance(part, int) else f".{part}"
    return text.removeprefix(".") or "file"


def as_table(value: Any) -> dict[str, Any]:
    if not isinstance(value, dict):
        raise Invalid("", "a table of fields", value)
    return value


def as_list(value: Any) -> list[Any]:
    if not isinstance(value, list):
        remedy = (
            "There may be several of these, so write two brackets, as in [[block]]." if isinstance(value, dict) else ""
        )
        raise Invalid("", "a list in square brackets", value, remedy=remedy)
    return value


_TURNING = re.compile("[\x00\u202a-\u202e\u2066-\u2069]")


def text(value: Any) -> str:
    """Text without signs that turn or end what is printed after it."""
    if not isinstance(value, str):
        raise Invalid("", "text in quotes", value)
    if _TURNING.search(value):
        raise Invalid("", "plain text", "a character that hides or turns text", remedy="Type the words again.")
    return value


def words(value: Any) -> str:
    """Text that is not empty."""
    if not text(value).strip():
        raise Invalid("", "some words", "nothing")
    return value.strip() if isinstance(value, str) else ""


def flag(value: Any) -> bool:
    if not isinstance(value, bool):
        raise Invalid("", "true or false", value)
    return value


def number(value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not -1e9 < value < 1e9:
        raise Invalid("", "a number", value)
    return float(value)


def whole(low: int, high: int) -> Callable[[Any], int]:
    """A parser for whole numbers from `low` to `high`."""

    def parse(value: Any) -> int:
        if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
            in_quotes = isinstance(value, str) and value.strip().isdigit()
            remedy = f"Write {value.strip()} without quotes." if in_quotes else ""
            raise Invalid("", f"a whole number from {low} to {high}", value, remedy=remedy)
        return value

    return parse


def one_of(vocabulary: type[E]) -> Callable[[Any], E]:
    """A parser for one word of a closed vocabulary."""

    def parse(value: Any) -> E:
        return member(vocabulary, "", value)

    return parse
