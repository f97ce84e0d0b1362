"""The headings of a spreadsheet of people: which column is which field, and in which unit."""

import re
from dataclasses import dataclass

from everyrung.parsing.table_reader import FileFaults
from everyrung.people.person import FIELDS, REQUIRED
from everyrung.terms.errors import Invalid, nearest, or_list

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


def read_headings(sheet: FileFaults, headings: list[str], filled: dict[int, int]) -> list[Column]:
    """The columns that are known; `filled` has the first line with something in each column that has any.

    Raises Faults when there is no use in reading on.
    """
    found: list[Column] = []
    names = [field_of(heading) for heading in headings]
    if not any(field in FIELDS for field, _ in names):
        remedy = 'Put one above the first row, such as "name,stature_cm".'
        problem = Invalid("", f"a line of headings among {or_list(FIELDS, 30)}", "a line without any", remedy=remedy)
        sheet.fault(("headings",), problem)
        sheet.finish()
    for at, (field, unit) in enumerate(names):
        place = ("headings", at)
        if field in [column.field for column in found]:
            sheet.fault(place, Invalid("", f"one column of {field}", "a second one", remedy="Keep one of the two."))
        elif field in FIELDS:
            found.append(Column(at=at, field=field, unit=unit))
        elif field:
            sheet.fault(place, _unknown(field, headings[at]))
        elif at in filled:
            remedy = f"Name it, or empty it: line {filled[at]} has something in it."
            sheet.fault(place, Invalid("", "a heading for this column", "nothing", remedy=remedy))
    missing = [field for field in REQUIRED if field not in [column.field for column in found]]
    for field in missing:
        sheet.fault(("headings",), Invalid("", f"a column for {field}", "none", remedy=f"Add {field}."))
    if missing:
        sheet.finish()
    return found


def _unknown(field: str, heading: str) -> Invalid:
    known = {field: field for field in FIELDS} | _ALSO
    tries = (nearest(word, known) for word in (field, *field.split("_")))
    near = next((known[word] for word in tries if word), "")
    units = f" Its unit may follow: {near}_{f' or {near}_'.join(_UNITS[near])}." if near in _UNITS else ""
    return Invalid("", "a known heading", heading, nearest=near, remedy=f"Known: {or_list(FIELDS, 30)}.{units}")
