"""The fields of one person from what stands in a cell: sane for an adult, or refused with what to do."""

import re
from typing import Any

from everyrung.parsing import body_size
from everyrung.parsing.body_size import decimal
from everyrung.parsing.table_reader import number, text, words
from everyrung.terms.errors import Invalid, nearest, or_list
from everyrung.terms.person import (
    MAX_AGE,
    MAX_MASS_KG,
    MAX_STATURE_M,
    MIN_AGE,
    MIN_MASS_KG,
    MIN_STATURE_M,
    Experience,
    Sex,
)

MAX_NAME = 80  # chosen, because it has to fit on one line of a list
_SEXES = {"female": Sex.FEMALE, "f": Sex.FEMALE, "woman": Sex.FEMALE} | {
    "male": Sex.MALE, "m": Sex.MALE, "man": Sex.MALE}  # fmt: skip
_CHECK = "Check the number and its unit."


def name(value: Any) -> str:
    """A name on one line; whatever else it looks like, it is only text."""
    if value == "":
        raise Invalid("", "a name", "nothing", remedy="Everyone needs one; invent it if you like.")
    line = words(value)
    if not line.isprintable() or len(line) > MAX_NAME:
        raise Invalid("", f"a name on one line, of up to {MAX_NAME} letters", value, remedy="Shorten it.")
    return line


def stature(value: Any) -> float:
    """A stature that an adult can have, in m."""
    if value == "":
        raise Invalid("", 'a stature such as "165 cm"', "nothing", remedy="Everyone needs one: ask, or estimate it.")
    found_m = body_size.stature(value)
    if not MIN_STATURE_M <= found_m <= MAX_STATURE_M:
        raise Invalid("", f"{MIN_STATURE_M * 100:g} to {MAX_STATURE_M * 100:g} cm", value, remedy=_CHECK)
    return found_m


def body_mass(value: Any) -> float:
    """A mass that an adult can have, in kg."""
    found_kg = body_size.body_mass(value)
    if not MIN_MASS_KG <= found_kg <= MAX_MASS_KG:
        raise Invalid("", f"{MIN_MASS_KG:g} to {MAX_MASS_KG:g} kg", value, remedy=_CHECK)
    return found_kg


def age(value: Any) -> int:
    """An adult's age in whole years."""
    digits = str(value).strip() if isinstance(value, int | str) and not isinstance(value, bool) else ""
    if not re.fullmatch(r"[0-9]{1,4}", digits) or not MIN_AGE <= int(digits) <= MAX_AGE:
        remedy = "Leave it empty where it is not known."
        raise Invalid("", f"whole years, {MIN_AGE} to {MAX_AGE}", value, remedy=remedy)
    return int(digits)


def sex(value: Any) -> Sex:
    """Which tables of proportions and strengths are used."""
    word = text(value).strip().casefold()
    if word not in _SEXES:
        remedy = "It chooses the tables of proportions and strengths; leave it empty where it is not known."
        raise Invalid("", or_list(_SEXES), value, nearest=nearest(word, _SEXES), remedy=remedy)
    return _SEXES[word]


def level(value: Any) -> Experience:
    """How used someone is to sessions like these."""
    levels, word = [each.value for each in Experience], text(value).strip().casefold()
    if word not in levels:
        remedy = "Leave it empty where it is not known."
        raise Invalid("", or_list(levels), value, nearest=nearest(word, levels), remedy=remedy)
    return Experience(word)


def factor(value: Any) -> float:
    """A number, with a decimal point or a decimal comma when it is text."""
    if isinstance(value, str) and re.fullmatch(r"\s*[0-9]+(?:[.,][0-9]+)?(?:e-?[0-9]{1,3})?\s*", value):
        return number(decimal(value))
    return number(value)
