"""The headings of a spreadsheet of people: which column is which field, and in which unit.

People from a spreadsheet saved as text: any of three separators, headings in any order, line numbers of the file.
"""

import csv
import io
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from everyrung.parsing.body_size import bare_number
from everyrung.parsing.line_numbers import KeyPath
from everyrung.parsing.table_reader import FileFaults, Table, field_path
from everyrung.people.person import FIELDS, REQUIRED, read_persons
from everyrung.terms.errors import Invalid, Where, nearest, or_list
from everyrung.terms.person import Person

# Units that a heading may carry. Bare feet and stones are not numbers that anyone writes one way only.
_UNITS = {"stature": ("cm", "m", "in"), "mass": ("kg", "lb"), "age": ("years",)}
_ALSO = {"height": "stature", "weight": "mass", "gender": "sex", "experience": "level", "equipment": "kit",
         "medication": "medicine", "person": "name", "participant": "name"}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One heading: which field, and in which unit its bare numbers are."""

    at: int
    field: str
    unit: str = ""


def field_of(heading: str) -> tuple[str, str]:
    """'Stature (cm)' as field and unit; an unknown heading as it is, without a unit."""
    words = re.sub(r"[\W_]+", " ", heading.casefold()).strip()
    for field, units in _UNITS.items():
        if words.startswith(f"{field} ") and words.removeprefix(f"{field} ") in units:
            unit = words.removeprefix(f"{field} ")
            return field, "" if unit == "years" else unit
    return words.replace(" ", "_"), ""


def read_headings(sheet: FileFaults, headings: list[str], first_lines: dict[int, int]) -> list[Column]:
    """The columns that are known; `first_lines` has the first line with something in each column that has any.

    Raises Faults when there is no use in reading on.
    """
    result: list[Column] = []
    names = [field_of(heading) for heading in headings]
    if not any(field in FIELDS for field, _ in names):
        remedy = 'Put one above the first row, such as "name,stature_cm".'
        problem = Invalid("", f"a line of headings among {or_list(FIELDS, 30)}", "a line without any", remedy=remedy)
        sheet.fault(("headings",), problem)
        sheet.finish()
    for at, (field, unit) in enumerate(names):
        place = ("headings", at)
        if field in [column.field for column in result]:
            sheet.fault(place, Invalid("", f"one column of {field}", "a second one", remedy="Keep one of the two."))
        elif field in FIELDS:
            result.append(Column(at=at, field=field, unit=unit))
        elif field:
            sheet.fault(place, _unknown(field, headings[at]))
        elif at in first_lines:
            remedy = f"Name it, or empty it: line {first_lines[at]} has something in it."
            sheet.fault(place, Invalid("", "a heading for this column", "nothing", remedy=remedy))
    missing = [field for field in REQUIRED if field not in [column.field for column in result]]
    for field in missing:
        sheet.fault(("headings",), Invalid("", f"a column for {field}", "none", remedy=f"Add {field}."))
    if missing:
        sheet.finish()
    return result


def _unknown(field: str, heading: str) -> Invalid:
    fields = {field: field for field in FIELDS} | _ALSO
    tries = (nearest(word, fields) for word in (field, *field.split("_")))
    near = next((fields[word] for word in tries if word), "")
    units = f" Its unit may follow: {near}_{f' or {near}_'.join(_UNITS[near])}." if near in _UNITS else ""
    return Invalid("", "a known heading", heading, nearest=near, remedy=f"Known: {or_list(FIELDS, 30)}.{units}")


Row = tuple[int, list[str]]
SEPARATORS = {",": "commas", ";": "semicolons", "\t": "tabs"}


class Sheet(FileFaults):
    """A reading whose places are lines of the spreadsheet: `lines[n]` is where the row of person n begins."""

    def __init__(self, file: str) -> None:
        super().__init__(file, "")
        self.heading_line = 1
        self.lines: list[int] = []

    def where(self, path: KeyPath) -> Where:
        match path:
            case ("person", int(at), *inner):
                return Where(file=self.file, line=self.lines[at], field=field_path(tuple(inner)) if inner else "row")
            case _:
                return Where(file=self.file, line=self.heading_line, field=field_path(path))


def people_from_sheet(text: str, file: str) -> tuple[Person, ...]:
    """The people of a spreadsheet's text. Raises Faults."""
    sheet = Sheet(file)
    separator, text = _separator(text)
    rows = [(line, cells) for line, cells in _rows(sheet, text, separator) if any(cells)]
    empty = not re.sub(r"[\s,;]", "", text)
    if empty or not (rows or sheet.faults):
        remedy = 'Begin with a line of headings such as "name,stature_cm".'
        sheet.fault(("file",), Invalid("", "a line of headings and a line for each person", "nothing", remedy=remedy))
    if empty or not rows:
        sheet.finish()
    (sheet.heading_line, headings), *rows = rows
    first_lines = {at: line for line, cells in reversed(rows) for at, cell in enumerate(cells) if cell}
    columns = read_headings(sheet, headings, first_lines)
    if not rows and not sheet.faults:
        sheet.fault(("file",), Invalid("", "at least one person below the headings", "none"))
    width = max(at + 1 for at, heading in enumerate(headings) if heading or at in first_lines)
    people = read_persons(_tables(sheet, columns, width, rows, separator))
    sheet.finish()
    return people


def _separator(text: str) -> tuple[str, str]:
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
        return sum(field_of(cell)[0] in FIELDS for cell in cells), len(cells)

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
        path = ("person", len(sheet.lines))
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
        path = ("person", len(sheet.lines))
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
        values = {each.field: _with_unit(cells[each.at], each.unit) for each in columns}
        yield Table(sheet, {key: cell for key, cell in values.items() if cell or key in REQUIRED}, path)


def _with_unit(cell: str, unit: str) -> str:
    """A bare number in the unit of its heading; a cell that names a unit itself keeps it."""
    return f"{cell} {unit}" if unit and bare_number(cell) else cell
