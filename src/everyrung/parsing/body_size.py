"""Statures and body masses from the forms that people write; a number without a unit is never guessed at."""

import re
from typing import Any

from everyrung.terms.errors import Invalid
from everyrung.terms.person import MAX_STATURE_M, MIN_STATURE_M
from everyrung.terms.units import KG_PER_LB

LB_PER_STONE = 14  # exact by definition
# Per inch, as a fraction: 65 * 254 / 10,000 is 1.651 to the last bit (international inch, 0.0254 m by definition).
_INCH = (254, 10_000)
_NUMBER = r"([0-9]{1,4}(?:[.,][0-9]{1,20})?)"
_METRES = re.compile(rf"{_NUMBER}\s*(cm|m)")
_INCHES = r"([0-9]{1,2}(?:[.,][0-9]{1,20})?|[0-9]{1,2}\s+[1-7]/[248]|[1-7]/[248])"
_FEET = re.compile(rf"([0-9])\s*(?:ft|feet|foot|')\s*(?:{_INCHES}\s*(?:inches|inch|in|\")?)?")
_INCHES_ONLY = re.compile(rf"{_NUMBER}\s*(?:inches|inch|in|\")")
_MASS = re.compile(rf"{_NUMBER}\s*(kgs|kg|lbs|lb)")
_STONE = re.compile(rf"([0-9]{{1,2}})\s*(?:stones|stone|st)\s*(?:{_NUMBER}\s*(?:lbs|lb)?)?")
_BARE = re.compile(_NUMBER)
_SIGNS = str.maketrans(
    {"\u2019": "'", "\u2032": "'", "\u201d": '"', "\u2033": '"'} | {"½": " 1/2", "¼": " 1/4", "¾": " 3/4"}
)


def decimal(text: str) -> float:
    """A number with a decimal point or a decimal comma."""
    return float(text.replace(",", "."))


def bare_number(text: str) -> bool:
    """Whether a cell holds a number alone, so that its heading has to carry the unit."""
    return _BARE.fullmatch(text.strip()) is not None


def plain(number: float) -> str:
    """A number as short as it can be said without losing any of it."""
    short = f"{number:g}"
    return short if float(short) == number else repr(number)


def written_stature(stature_m: float) -> str:
    """'165 cm': read back, it is the same to the last bit."""
    cm = round(stature_m * 100, 6)
    return f"{plain(cm)} cm" if cm / 100 == stature_m else f"{stature_m!r} m"


def written_mass(mass_kg: float) -> str:
    """'62 kg', likewise."""
    return f"{plain(mass_kg)} kg"


def stature(value: Any) -> float:
    """A stature in m from "165 cm", "1.65 m", "5 ft 5 in" or 5'5"; a decimal comma will do."""
    text = _usual(value)
    if match := _METRES.fullmatch(text):
        return decimal(match[1]) / (100 if match[2] == "cm" else 1)
    if match := _FEET.fullmatch(text):
        inches = _inches(match[2] or "0")
        if inches >= 12:
            raise Invalid("", "fewer than 12 inches after the feet", value, remedy="Check the number, or write cm.")
        return _metres(int(match[1]) * 12 + inches)
    if match := _INCHES_ONLY.fullmatch(text):
        return _metres(decimal(match[1]))
    expected = 'a stature with its unit, such as "165 cm", "1.65 m" or "5 ft 5 in"'
    raise Invalid("", expected, _got(value), remedy=_stature_hint(value))


def body_mass(value: Any) -> float:
    """A body's mass in kg from "62 kg", "137 lb" or "9 st 11 lb"; a decimal comma will do."""
    text = _usual(value)
    if match := _MASS.fullmatch(text):
        return decimal(match[1]) if match[2].startswith("kg") else _kg(decimal(match[1]))
    if match := _STONE.fullmatch(text):
        pounds = decimal(match[2] or "0")
        if pounds >= LB_PER_STONE:
            raise Invalid("", "fewer than 14 pounds after the stones", value, remedy="Check the number, or write kg.")
        return _kg(int(match[1]) * LB_PER_STONE + pounds)
    bare = _bare(value)
    remedy = f'Say which unit: "{bare} kg" or "{bare} lb".' if bare else ""
    raise Invalid("", 'a mass with its unit, such as "62 kg", "137 lb" or "9 st 11 lb"', _got(value), remedy=remedy)


def _usual(value: Any) -> str:
    return value.translate(_SIGNS).replace("''", '"').strip().casefold() if isinstance(value, str) else ""


def _got(value: Any) -> Any:
    return "nothing" if isinstance(value, str) and not value.strip() else value


def _metres(inches: float) -> float:
    return inches * _INCH[0] / _INCH[1]


def _kg(pounds: float) -> float:
    """To the milligram, so that what is written again is short."""
    return round(pounds * KG_PER_LB, 6)


def _inches(text: str) -> float:
    """5, 5.5, 5 1/2 or 1/2."""
    *whole, last = text.split()
    above, _, below = last.partition("/")
    return sum(map(int, whole)) + (int(above) / int(below) if below else decimal(above))


def _bare(value: Any) -> str:
    """The number in a value that is nothing but a number."""
    if isinstance(value, int | float) and not isinstance(value, bool) and 0 < value < 10_000:
        return f"{value:g}"
    return value.strip() if isinstance(value, str) and bare_number(value) else ""


def _stature_hint(value: Any) -> str:
    bare = _bare(value)
    if not bare:
        return ""
    for unit, metres in (("cm", 0.01), ("m", 1.0), ("in", 0.0254)):
        if MIN_STATURE_M <= decimal(bare) * metres <= MAX_STATURE_M:
            return f'Say which unit, for example "{bare} {unit}".'
    return 'Say which unit, for example "165 cm", "1.65 m" or "5 ft 5 in".'
