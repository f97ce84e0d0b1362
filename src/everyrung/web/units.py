"""Units that a field brings along: a bare number in a field of kilograms is kilograms."""

import re

_UNITS = {
    "load": "kg",
    "mass": "kg",
    "rated": "kg",
    "diameter": "cm",
    "stature": "cm",
    "rest": "s",
}  # as the fields' labels say
_BARE = re.compile(r"(\d+ ?x ?)?(\d+)(?:[.,](\d+))?")  # a decimal comma is what half of Europe types


def with_unit(field: str, said: str, unit: str = "") -> str:
    """'2.5 kg' for '2.5' or '2,5', '2 x 4 kg' for '2 x 4'; whatever is more than a number stays as it was typed.

    `unit` is what the field shows beside itself where that is not always the same, as for a dose.
    """
    unit = unit or _UNITS.get(field.rpartition(".")[2], "")
    bare = _BARE.fullmatch(said.strip())
    if not unit or not bare or (bare[1] and unit != "kg"):
        return said
    pieces = f"{bare[1].strip(' x')} x " if bare[1] else ""
    return f"{pieces}{bare[2]}{f'.{bare[3]}' if bare[3] else ''} {unit}"
