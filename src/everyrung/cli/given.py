"""Values given on the command line, refused in words when they make no sense."""

import argparse
import re

from everyrung.reading.amounts import mass
from everyrung.terms.amount import KG_PER_LB, Mass
from everyrung.terms.fault import Invalid

M_PER_FOOT, M_PER_INCH = 0.3048, 0.0254  # international foot and inch, exact by definition
_METRES = re.compile(r"(\d{1,3}(?:\.\d{1,3})?)\s*(cm|m)")
_MASS = re.compile(r"(\d{1,3}(?:\.\d{1,3})?)\s*(kg|lb)")
_FEET = re.compile(r"(\d)\s*(?:ft|feet|')\s*(?:(\d{1,2}(?:\.\d)?)\s*(?:in|inches|\")?)?")


def minutes(written: str) -> int:
    """A slot from 5 to 240 minutes."""
    if not written.isascii() or not written.isdigit() or not 5 <= int(written) <= 240:
        raise argparse.ArgumentTypeError(f"expected a whole number of minutes from 5 to 240, got {written!r}")
    return int(written)


def stature(written: str) -> float:
    """A stature in m from "165cm", "1.65 m" or "5 ft 5 in"."""
    if match := _METRES.fullmatch(written.strip()):
        return float(match[1]) * (0.01 if match[2] == "cm" else 1.0)
    if match := _FEET.fullmatch(written.strip()):
        return float(match[1]) * M_PER_FOOT + float(match[2] or 0) * M_PER_INCH
    raise argparse.ArgumentTypeError(f'expected a stature such as 165cm, "1.65 m" or "5 ft 5 in", got {written!r}')


def body_mass(written: str) -> float:
    """A body's mass in kg from "62kg" or "137 lb"."""
    if match := _MASS.fullmatch(written.strip()):
        return float(match[1]) * (1.0 if match[2] == "kg" else KG_PER_LB)
    raise argparse.ArgumentTypeError(f'expected a mass such as 62kg or "137 lb", got {written!r}')


def piece(written: str) -> Mass:
    """A mass with its unit, such as 10lb or 62kg."""
    try:
        return mass(written)
    except Invalid as problem:
        raise argparse.ArgumentTypeError(f"expected {problem.expected}, got {written!r}. {problem.remedy}") from None
