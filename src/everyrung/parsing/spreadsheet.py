"""Rows of a spreadsheet saved as text: any of three separators, headings in any order, line numbers of the file.

What the headings may be is a form: which column is which field, and in which unit its bare numbers are.
"""

import csv
import io
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from everyrung.parsing.body_size import bare_number
from everyrung.parsing.line_numbers import KeyPath
from everyrung.parsing.table_reader import FileFaults, Table, field_path
from everyrung.terms.errors import Invalid, Where, nearest, or_list


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """What a spreadsheet may hold: a `row` of it is one of these; its fields, those without which nothing can be read,
    the units that a heading may carry, and other words for fields. `example` is a line of headings.
    """

    row: str
    fields: tuple[str, ...]
    needs: tuple[str, ...]
    example: str
    units: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    words: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One heading: which field, and in which unit its bare numbers are."""

    at: int
    name: str
    unit: str = ""


def field_of(heading: str, form: Form) -> tuple[str, str]:
    """'Stature (cm)' as field and unit; an unknown heading as it is, without a unit."""
    words = re.sub(r"[\W_]+", " ", heading.casefold()).strip()
    for name, units in form.units.items():
        if words.startswith(f"{name} ") and words.removeprefix(f"{name} ") in units:
            unit = words.removeprefix(f"{name} ")
            return name, "" if unit == "years" else unit
    return words.replace(" ", "_"), ""


Row = tuple[int, list[str]]
SEPARATORS = {",": "commas", ";": "semicolons", "\t": "tabs"}


class Sheet(FileFaults):
    """A reading whose places are lines of the spreadsheet: `lines[n]` is where row n begins."""

    def __init__(self, file: str, form: Form) -> None:
        super().__init__(file, "")
        self.form = form
        self.heading_line = 1
        self.lines: list[int] = []

    def where(self, path: KeyPath) -> Where:
        match path:
            case (row, int(at), *inner) if row == self.form.row:
                return Where(file=self.file, line=self.lines[at], field=field_path(tuple(inner)) if inner else "row")
            case _:
                return Where(file=self.file, line=self.heading_line, field=field_path(path))

    def tables(self, text: str) -> Iterator[Table]:
        """A table for each row of the text, as wide as the headings. Raises Faults when there is no use in reading on;
        `finish` raises those of single rows.
        """
        separator, text = _separator(text, self.form)
        rows = [(line, cells) for line, cells in _rows(self, text, separator) if any(cells)]
        empty = not re.sub(r"[\s,;]", "", text)
        if empty or not (rows or self.faults):
            remedy = f'Begin with a line of headings such as "{self.form.example}".'
            expected = f"a line of headings and a line for each {self.form.row}"
            self.fault(("file",), Invalid("", expected, "nothing", remedy=remedy))
        if empty or not rows:
            self.finish()
        (self.heading_line, headings), *rows = rows
        first_lines = {at: line for line, cells in reversed(rows) for at, cell in enumerate(cells) if cell}
        columns = _read_headings(self, headings, first_lines)
        if not rows and not self.faults:
            self.fault(("file",), Invalid("", f"at least one {self.form.row} below the headings", "none"))
        width = max(at + 1 for at, heading in enumerate(headings) if heading or at in first_lines)
        return _tables(self, columns, width, rows, separator)


def _read_headings(sheet: Sheet, headings: list[str], first_lines: dict[int, int]) -> list[Column]:
    """The columns that are known; `first_lines` has the first line with something in each column that has any.

    Raises Faults when there is no use in reading on.
    """
    result: list[Column] = []
    fields = sheet.form.fields
    names = [field_of(heading, sheet.form) for heading in headings]
    if not any(name in fields for name, _ in names):
        remedy = f'Put one above the first row, such as "{sheet.form.example}".'
        problem = Invalid("", f"a line of headings among {or_list(fields, 30)}", "a line without any", remedy=remedy)
        sheet.fault(("headings",), problem)
        sheet.finish()
    for at, (name, unit) in enumerate(names):
        place = ("headings", at)
        if name in [column.name for column in result]:
            sheet.fault(place, Invalid("", f"one column of {name}", "a second one", remedy="Keep one of the two."))
        elif name in fields:
            result.append(Column(at=at, name=name, unit=unit))
        elif name:
            sheet.fault(place, _unknown(name, headings[at], sheet.form))
        elif at in first_lines:
            remedy = f"Name it, or empty it: line {first_lines[at]} has something in it."
            sheet.fault(place, Invalid("", "a heading for this column", "nothing", remedy=remedy))
    missing = [name for name in sheet.form.needs if name not in [column.name for column in result]]
    for name in missing:
        sheet.fault(("headings",), Invalid("", f"a column for {name}", "none", remedy=f"Add {name}."))
    if missing:
        sheet.finish()
    return result


def _unknown(name: str, heading: str, form: Form) -> Invalid:
    fields = {field: field for field in form.fields} | dict(form.words)
    tries = (nearest(word, fields) for word in (name, *name.split("_")))
    near = next((fields[word] for word in tries if word), "")
    units = f" Its unit may follow: {near}_{f' or {near}_'.join(form.units[near])}." if near in form.units else ""
    return Invalid("", "a known heading", heading, nearest=near, remedy=f"Known: {or_list(form.fields, 30)}.{units}")


def _separator(text: str, form: Form) -> tuple[str, str]:
    """The separator under which most headings are known; a first line "sep=;" says it and is blanked."""
    first, end, rest = text.partition("\n")
    if (hint := re.fullmatch(r"sep=([,;\t])", first.strip(" \r"), re.IGNORECASE)) is not None:
        return hint[1], end + rest

    def known_headings(separator: str) -> tuple[int, int]:
        cells: list[str] = []
        try:
            cells = next((row for row in _reader(text, separator) if any(map(str.strip, row))), [])
        except csv.Error:
            return 0, 0
        return sum(field_of(cell, form)[0] in form.fields for cell in cells), len(cells)

    return max(SEPARATORS, key=known_headings), text


def _reader(text: str, separator: str) -> Any:  # csv.reader has no name for its type that 3.11 knows
    lines = io.StringIO(text, newline="")
    return csv.reader(lines, delimiter=separator, strict=True, skipinitialspace=True)


def _rows(sheet: Sheet, text: str, separator: str) -> Iterator[Row]:
    """Each row with the line that it begins on; a row that cannot be taken apart is a fault and the last one."""
    reader, line = _reader(text, separator), 1
    try:
        for cells in reader:
            yield line, [cell.strip() for cell in cells]
            line = reader.line_num + 1
    except csv.Error as error:
        path = (sheet.form.row, len(sheet.lines))
        sheet.lines.append(line)
        remedy = 'Close each quotation mark; inside a quoted cell write it twice: "5\'5""". Nothing below was read.'
        sheet.fault(path, Invalid("", "cells between separators", f"a row that is not ({error})", remedy=remedy))


def _trim(cells: list[str]) -> list[str]:
    """The cells without the empty ones at the end."""
    width = max((place + 1 for place, cell in enumerate(cells) if cell), default=0)
    return cells[:width]


def _tables(sheet: Sheet, columns: list[Column], width: int, rows: list[Row], separator: str) -> Iterator[Table]:
    """A table for each row that is as wide as the headings."""
    for line, cells in rows:
        path = (sheet.form.row, len(sheet.lines))
        sheet.lines.append(line)
        if len(cells) < width or len(_trim(cells)) > width:
            count = len(_trim(cells)) if len(cells) > width else len(cells)
            remedy = "Empty cells count too."
            if separator == ",":
                remedy += ' A comma inside a cell needs quotes around the cell: "62,5 kg".'
            elif separator == ";":
                remedy += ' A semicolon inside a cell needs quotes around the cell: "10 lb; chair".'
            got = f"{count} separated by {SEPARATORS[separator]}"
            sheet.fault(path, Invalid("", f"{width} cells, as in the headings", got, remedy=remedy))
            continue
        values = {each.name: _with_unit(cells[each.at], each.unit) for each in columns}
        yield Table(sheet, {key: cell for key, cell in values.items() if cell or key in sheet.form.needs}, path)


def _with_unit(cell: str, unit: str) -> str:
    """A bare number in the unit of its heading; a cell that names a unit itself keeps it."""
    return f"{cell} {unit}" if unit and bare_number(cell) else cell
