"""Values as lines of text that people can read and compare, and how two such lines are compared."""

import difflib
import math
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import fields, is_dataclass
from enum import Enum
from typing import Any

from everyrung.terms.errors import Where
from everyrung.terms.move import Form, Move, Rung
from everyrung.terms.person import BodySize
from everyrung.terms.plan import Ref
from everyrung.terms.units import Dose, Load, Mass, Tempo

WIDTH = 118
RELATIVE = 1e-6  # of a decimal number; machines differ in the last digits of powers and sums

PLAIN: dict[type, Callable[[Any], str]] = {
    Where: lambda one: f"line {one.line} {one.field}",
    Ref: str,
    Move: lambda one: one.name,
    Rung: lambda one: f"{one.name} ({one.grade})",
    Form: lambda one: f"form of {one.move}",
    Tempo: str,
    Dose: str,
    Load: lambda one: f"{one} {one.carry or ''}".rstrip(),
    Mass: str,
    BodySize: str,
}


def plain(value: Any) -> str | None:
    """A value that is said in one word or so; None where it has parts."""
    if type(value) in PLAIN:
        return PLAIN[type(value)](value)
    if isinstance(value, Enum):
        return str(value.value)
    if isinstance(value, float):
        text = f"{value:.9g}"
        return text if set(text) & set(".en") else f"{text}.0"
    if isinstance(value, str):
        return repr(value)
    return repr(value) if isinstance(value, int) or value is None else None


def outline(name: str, value: Any, deep: int = 0) -> Iterator[str]:
    """A value with its parts below it, indented; what is nothing is left out, what is short stands on one line, as does
    every text.
    """
    flat = _flat(value)
    if flat is not None and (isinstance(value, str) or len(flat) + len(name) + 2 * deep < WIDTH):
        yield f"{'  ' * deep}{name}: {flat}"
        return
    yield f"{'  ' * deep}{name}:"
    for key, each in _parts(value):
        yield from outline(key, each, deep + 1)


def _flat(value: Any) -> str | None:
    """All of it on one line."""
    word = plain(value)
    if word is not None:
        return word
    inside = [(key, _flat(each)) for key, each in _parts(value)]
    if any(each is None for _, each in inside):
        return None
    return "; ".join(str(each) if key == "-" else f"{key} {each}" for key, each in inside)


def _parts(value: Any) -> list[tuple[str, Any]]:
    if is_dataclass(value):
        found = [(each.name, getattr(value, each.name)) for each in fields(value)]
    elif isinstance(value, Mapping):
        found = [(str(_flat(key)), each) for key, each in value.items()]
    else:
        found = [("-", each) for each in value]
    return [(key, each) for key, each in found if each is not None and each != () and each != "" and each != {}]


NUMBER = re.compile(r"-?\d+(?:\.\d+)?(?:e[+-]?\d+)?")


def same(one: str, other: str) -> bool:
    """Whether two lines say the same: words and whole numbers exactly, decimals to RELATIVE."""
    if one == other:
        return True
    if NUMBER.sub("#", one) != NUMBER.sub("#", other):
        return False
    pairs = zip(NUMBER.findall(one), NUMBER.findall(other), strict=True)
    return all(a == b or ("." in a + b and math.isclose(float(a), float(b), rel_tol=RELATIVE)) for a, b in pairs)


def differing(before: Iterable[str], after: Iterable[str]) -> list[str]:
    """The lines of a record that say something else now, as '- before' and '+ after'."""
    one, two = list(before), list(after)
    if len(one) == len(two):
        return [line for a, b in zip(one, two, strict=True) if not same(a, b) for line in (f"- {a}", f"+ {b}")]
    found = difflib.unified_diff(one, two, lineterm="", n=0)
    return [line for line in found if not line.startswith(("---", "+++", "@@"))]
