"""On which line of a TOML document each key is written: for messages that say where.

A document that the standard library has read holds no surprises, so its signs are enough: texts, brackets, dots, names.
"""

import re
from collections.abc import Iterator
from functools import cached_property

import tomli

KeyPath = tuple[str | int, ...]
_SIGN = re.compile(
    r'''(?P<text>"""(?:[^"\\]|\\[\s\S]|"{1,2}(?!"))*+"{3,5}|\'\'\'(?:[^']|'{1,2}(?!'))*+'{3,5}'''
    r"""|"(?:[^"\\\n]|\\.)*+"|'[^'\n]*+')|(?P<skip>#[^\n]*|[^\S\n]+)|(?P<sign>[\[\]{},=.\n])|(?P<word>[^\s\[\]{},=#."']+)"""
)
_Sign = tuple[str, int]  # as it is written, and its line


class LineNumbers:
    """Where each key path of `text` is written. Read on the first question only."""

    def __init__(self, text: str) -> None:
        self._text = text

    def line(self, path: KeyPath) -> int:
        """The line (from 1) of `path`, or of its nearest enclosing key that is written; 0 for an empty path."""
        while path:
            if path in self._lines:
                return self._lines[path]
            path = path[:-1]
        return 0

    @cached_property
    def _lines(self) -> dict[KeyPath, int]:
        return _Document(self._text).lines


class _Document:
    """The document, read sign by sign; `lines` of its key paths."""

    def __init__(self, text: str) -> None:
        self.lines: dict[KeyPath, int] = {}
        self._counts: dict[KeyPath, int] = {}  # elements of each array of tables so far
        self._signs = _signs(text)
        self._step()
        table: KeyPath = ()
        while self._sign:
            if self._sign == "\n":
                self._step()
            elif self._sign == "[":
                table = self._table()
            else:
                self._pair(table)

    def _step(self) -> None:
        self._sign, self._line = next(self._signs, ("", 0))

    def _table(self) -> KeyPath:
        """`[a.b]`, or `[[a.b]]`, which is one more element of an array."""
        line, path = self._line, KeyPath()
        self._step()
        is_element = self._sign == "["
        if is_element:
            self._step()
        names = self._names("]")
        for place, name in enumerate(names):
            path = (*path, name)
            if is_element and place == len(names) - 1:
                self._counts[path] = self._counts.get(path, -1) + 1
            self.lines.setdefault(path, line)
            if path in self._counts:
                path = (*path, self._counts[path])
                self.lines.setdefault(path, line)
        for _ in range(1 + is_element):
            self._step()
        return path

    def _pair(self, path: KeyPath) -> None:
        line = self._line
        for name in self._names("="):
            path = (*path, name)
            self.lines.setdefault(path, line)
        self._step()
        self._value(path)

    def _names(self, end: str) -> list[str]:
        """A key, dotted or not."""
        names = []
        while self._sign not in (end, ""):
            if self._sign != ".":
                names.append(_name(self._sign))
            self._step()
        return names

    def _value(self, path: KeyPath) -> None:
        if self._sign == "[":
            self._array(path)
        elif self._sign == "{":
            self._inline_table(path)
        else:
            self._step()
            while self._sign not in ("", "\n", ",", "]", "}"):  # a date may be two words
                self._step()

    def _array(self, path: KeyPath) -> None:
        self._step()
        place = 0
        while self._sign not in ("]", ""):
            if self._sign in ("\n", ","):
                self._step()
                continue
            self.lines.setdefault((*path, place), self._line)
            self._value((*path, place))
            place += 1
        self._step()

    def _inline_table(self, path: KeyPath) -> None:
        self._step()
        while self._sign not in ("}", ""):
            if self._sign in ("\n", ","):
                self._step()
            else:
                self._pair(path)
        self._step()


def _signs(text: str) -> Iterator[_Sign]:
    line = 1
    for match in _SIGN.finditer(text):
        if match.lastgroup != "skip":
            yield match[0], line
        line += match[0].count("\n")


def _name(text: str) -> str:
    if text[0] not in "\"'":
        return text
    name: str = tomli.loads(f"name = {text}")["name"]
    return name
