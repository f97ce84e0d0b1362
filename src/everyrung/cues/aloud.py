"""Written words as they are said: units, ranges and signs in full, so that a voice reads them as a person would."""

import re

# One and several; "in" is left out, for it mostly is the word: "eight in a row".
_UNITS = {
    "kg": ("kilogram", "kilograms"), "g": ("gram", "grams"), "lb": ("pound", "pounds"), "lbs": ("pound", "pounds"),
    "cm": ("centimetre", "centimetres"), "mm": ("millimetre", "millimetres"), "m": ("metre", "metres"),
    "ft": ("foot", "feet"), "s": ("second", "seconds"), "sec": ("second", "seconds"), "min": ("minute", "minutes"),
    "%": ("per cent", "per cent"),
}  # fmt: skip
_NUMBER = r"[0-9]+(?:\.[0-9]+)?"
_RANGE = re.compile(rf"(?<![\w.-])({_NUMBER}) ?[-–] ?({_NUMBER})(?![\w-]|\.[0-9])")
_TIMES = re.compile(rf"(?<![\w.])({_NUMBER}) ?[x×] ?(?={_NUMBER})")
_MEASURE = re.compile(rf"(?<![\w.])({_NUMBER})([ -]?)({'|'.join(sorted(_UNITS, key=len, reverse=True))})(?!\w)")
_SIGNS = {"and/or": "or", "&": " and ", "+": " plus ", "=": " is ", "/": " or ", "~": " about ", "→": " then "}


def aloud(text: str) -> str:
    """'3x10 with 10 lb' -> '3 times 10 with 10 pounds'. What has no such sign comes back as it is."""
    said = _RANGE.sub(r"\1 to \2", text)
    said = _TIMES.sub(r"\1 times ", said)
    said = _MEASURE.sub(_in_full, said)
    for sign, word in _SIGNS.items():
        said = said.replace(sign, word)
    return " ".join(said.split())


def _in_full(found: re.Match[str]) -> str:
    one, several = _UNITS[found[3]]
    return f"{found[1]} {one if found[1] == '1' or found[2] == '-' else several}"  # a 10-pound ball
