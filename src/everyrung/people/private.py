"""Opening files that may hold health answers, so that no fault shows a piece of one."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

from everyrung.parsing.document import parse, read_text
from everyrung.parsing.table_reader import Table
from everyrung.terms.errors import Faults, Invalid

HIDDEN = "not shown (health answer)"


def private_text(path: Path) -> str:
    """The file's text; when it is not UTF-8 the fault shows no sample, which might hold an answer."""
    try:
        return read_text(path)
    except Faults as faults:
        remedy = 'Save it as UTF-8; in a spreadsheet the kind of file is "CSV UTF-8".'
        hidden = [replace(each, remedy=remedy) if "byte 0x" in each.got else each for each in faults.faults]
        raise Faults(hidden) from None


def private_document(written: str, file: str) -> dict[str, Any]:
    """The TOML document; when it is not TOML the fault names the line and does not show it."""
    try:
        return parse(written, file)
    except Faults as faults:
        raise Faults(
            replace(each, got="a line that is not (not shown: it may hold a health answer)") for each in faults.faults
        ) from None


def person_tables(table: Table) -> Iterator[Table]:
    """The [[person]] tables; anything else under that name is a fault that shows none of it."""
    nobody: list[dict[str, Any]] = []
    for place, values in enumerate(table.take("person", _list_of_tables, nobody) or nobody):
        yield Table(table.reading, values, ("person", place))


def _list_of_tables(value: Any) -> list[dict[str, Any]]:
    if not isinstance(value, list) or not all(isinstance(each, dict) for each in value):
        got = "one table" if isinstance(value, dict) else "something else"
        raise Invalid("", "[[person]] above the fields of each person", got, remedy="Write two brackets: [[person]].")
    return value
