"""What goes wrong with input, said so that a coach can mend it."""

import math
from collections.abc import Callable, Iterable
from enum import Enum
from itertools import islice
from typing import TypeVar

from everyrung.terms.frozen import dataclass

E = TypeVar("E", bound=Enum)

MAX_COMPARED = 500  # chosen, because comparing with more names takes longer than a person waits


class Invalid(ValueError):
    """A term was given a value it cannot hold: which field, what was expected, what was got."""

    def __init__(self, field: str, expected: str, got: object, *, nearest: str = "", remedy: str = "") -> None:
        super().__init__(f"{field}: expected {expected}, got {got!r}")
        self.field, self.expected, self.got = field, expected, got
        self.nearest, self.remedy = nearest, remedy
        for note in (f"Nearest: {nearest}." if nearest else "", remedy):
            if note:
                self.add_note(note)  # stands under the message when Python prints it

    def __reduce__(self) -> tuple[Callable[..., "Invalid"], tuple[object, ...]]:
        """It comes whole from another process."""
        return _invalid, (type(self), self.field, self.expected, self.got, self.nearest, self.remedy)


def _invalid(kind: type[Invalid], field: str, expected: str, got: object, nearest: str, remedy: str) -> Invalid:
    return kind(field, expected, got, nearest=nearest, remedy=remedy)


class ProcessEnded(RuntimeError):
    """A process that computed ended before it had an answer; the message says in a sentence why, and what to do."""


def require(holds: bool, field: str, expected: str, got: object) -> None:
    """Raises Invalid unless `holds`: how terms check themselves on creation."""
    if not holds:
        raise Invalid(field, expected, got)


def require_number(field: str, expected: str, value: object) -> None:
    """Raises Invalid for what is no number, or no finite one."""
    right = isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)
    require(right, field, expected, value)


def member(kind: type[E], field: str, value: object) -> E:
    """The member of an enum, from itself or from its word. Raises Invalid with the nearest word."""
    try:
        return kind(value)
    except ValueError:
        words = [str(each.value) for each in kind]
        near = nearest(value, words) if isinstance(value, str) else ""
        raise Invalid(field, or_list([repr(word) for word in words], 30), value, nearest=near) from None


@dataclass(frozen=True, slots=True, kw_only=True)
class Where:
    """A place in a file: the dotted field path as the coach reads it."""

    file: str
    line: int
    field: str

    def __str__(self) -> str:
        return f"{self.file}:{self.line}: {self.field}" if self.line else f"{self.file}: {self.field}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One thing that stops a file from being used."""

    where: Where
    expected: str
    got: str
    nearest: str = ""
    remedy: str = ""

    def __str__(self) -> str:
        parts = [f"{self.where}: expected {self.expected}; got {self.got}."]
        if self.nearest:
            parts.append(f"Nearest: {self.nearest}.")
        if self.remedy:
            parts.append(self.remedy)
        return " ".join(parts)


def fault_at(where: Where, problem: Invalid) -> Fault:
    """What a term or a lever refused, as a fault of the file at `where`."""
    return Fault(
        where=where,
        expected=problem.expected,
        got=plain_text(problem.got),
        nearest=problem.nearest,
        remedy=problem.remedy,
    )


class Faults(Exception):
    """Every fault found in one reading of a file; the file itself was not touched."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))

    def __reduce__(self) -> tuple[type["Faults"], tuple[tuple[Fault, ...]]]:
        """They come whole from another process."""
        return type(self), (self.faults,)


def nearest(word: str, words: Iterable[str]) -> str:
    """The known word closest to `word`, or nothing when none is close."""
    from difflib import get_close_matches  # only when something is wrong

    names = {name.casefold(): name for name in islice(words, MAX_COMPARED)}
    matches = get_close_matches(word.casefold(), names, n=1, cutoff=0.6)
    return names[matches[0]] if matches else ""


def short_text(value: object, limit: int = 60) -> str:
    """A value as the coach wrote it, cut so that one bad value cannot flood the screen."""
    text = repr(value) if isinstance(value, str) else str(value)
    return text if len(text) <= limit else text[: limit - 1] + "…"


def plain_text(value: object, limit: int = 120) -> str:
    """Plain words as they are, anything else as it was written; never empty, never a flood."""
    if isinstance(value, str) and value.strip() and value.isprintable():
        return value if len(value) <= limit else value[: limit - 1] + "…"
    return short_text(value, limit)


def or_list(words: Iterable[str], limit: int = 12) -> str:
    """'a, b or c', cut after `limit` words."""
    names = list(words)
    if len(names) > limit:
        return ", ".join(names[:limit]) + ", …"
    return " or ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)
