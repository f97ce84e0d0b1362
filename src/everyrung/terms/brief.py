"""A short repr for terms that hold other terms: what a notebook, a debugger or a failed test shows of them."""

from collections.abc import Mapping, Sequence, Set
from dataclasses import MISSING, fields, is_dataclass
from enum import Enum
from typing import Any

from everyrung.terms.errors import Where, short_text

MAX_REPR = 240  # letters; chosen, because that is two lines of a page
MAX_TEXT = 40  # letters of one value; chosen, because the others are to have room
CALLED = ("address", "name", "title", "key", "ref")  # where a term has what it is called


class Brief:
    """Base of a dataclass with `repr=False`: the fields that say something, a term inside by its name, a collection by
    its number. Written out in full it would repeat every term that it holds.
    """

    __slots__ = ()

    def __repr__(self) -> str:
        parts = [f"{name}={_in_short(value)}" for name, value in _fields_to_show(self)]
        text = f"{type(self).__name__}({', '.join(parts)})"
        return text if len(text) <= MAX_REPR else f"{text[: MAX_REPR - 2]}…)"


def _fields_to_show(term: Any) -> list[tuple[str, Any]]:
    """The fields that say something: not where it stands in a file, nothing empty, and nothing as it is by default."""
    pairs = []
    for each in fields(term):
        value = getattr(term, each.name)
        empty = value is None or (isinstance(value, str | Sequence | Mapping | Set) and not value)
        usual = each.default is not MISSING and value == each.default
        if not (empty or usual or isinstance(value, Where) or each.name == "places"):
            pairs.append((each.name, value))
    return pairs


def _in_short(value: Any) -> str:
    if isinstance(value, Enum):
        return repr(value.value)
    if is_dataclass(value) and not isinstance(value, type):
        return _name(value)
    if isinstance(value, str):
        return short_text(value, MAX_TEXT)
    if isinstance(value, Mapping | Sequence | Set):
        return f"<{len(value)}>"
    return short_text(value, MAX_TEXT)


def _name(term: Any) -> str:
    """A term inside another: as it is written where it has words for itself, else its class with what it is called."""
    if "__str__" in vars(type(term)):
        return f"<{short_text(str(term), MAX_TEXT).strip(chr(39))}>"
    words = (getattr(term, key, None) for key in CALLED)
    name = next((str(word) for word in words if word), "")
    return f"<{' '.join([type(term).__name__, name]).rstrip()}>"
