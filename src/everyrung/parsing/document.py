"""Line numbers for every key of a TOML document, from a real grammar (tree-sitter).

From bytes to a TOML document, or faults that say where and what to do.
"""

import re
import tomllib
from collections.abc import Iterator
from functools import cached_property
from pathlib import Path
from typing import Any

import tree_sitter
import tree_sitter_toml

from everyrung.terms.errors import Fault, Faults, Where, short_text

KeyPath = tuple[str | int, ...]


class LineNumbers:
    """Where each key path of `text` is written. Parsed on the first question only."""

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
        language = tree_sitter.Language(tree_sitter_toml.language())
        root = tree_sitter.Parser(language).parse(self._text.encode()).root_node
        lines: dict[KeyPath, int] = {}
        counts: dict[KeyPath, int] = {}
        for node in root.named_children:
            if node.type == "pair":
                _pair(node, (), lines)
            elif node.type in ("table", "table_array_element"):
                _table(node, lines, counts)
        return lines


def _table(node: tree_sitter.Node, lines: dict[KeyPath, int], counts: dict[KeyPath, int]) -> None:
    path: KeyPath = ()
    names = list(_keys(node.named_children[0]))
    for place, name in enumerate(names):
        path = (*path, name)
        last = place == len(names) - 1
        if last and node.type == "table_array_element":
            counts[path] = counts.get(path, -1) + 1
            # A fresh element starts its own inner arrays from nought.
            for inner in [key for key in counts if len(key) > len(path) and key[: len(path)] == path]:
                if inner[len(path)] == counts[path]:
                    del counts[inner]
        lines.setdefault(path, node.start_point[0] + 1)
        if path in counts:
            path = (*path, counts[path])
            lines.setdefault(path, node.start_point[0] + 1)
    for child in node.named_children[1:]:
        if child.type == "pair":
            _pair(child, path, lines)


def _pair(node: tree_sitter.Node, path: KeyPath, lines: dict[KeyPath, int]) -> None:
    line = node.start_point[0] + 1
    for name in _keys(node.named_children[0]):
        path = (*path, name)
        lines.setdefault(path, line)
    _value(node.named_children[-1], path, lines)


def _value(node: tree_sitter.Node, path: KeyPath, lines: dict[KeyPath, int]) -> None:
    if node.type == "inline_table":
        for pair in node.named_children:
            if pair.type == "pair":
                _pair(pair, path, lines)
    elif node.type == "array":
        values = [child for child in node.named_children if child.type != "comment"]
        for place, child in enumerate(values):
            lines.setdefault((*path, place), child.start_point[0] + 1)
            _value(child, (*path, place), lines)


def _keys(node: tree_sitter.Node) -> Iterator[str]:
    waiting = [node]
    while waiting:
        each = waiting.pop()
        if each.type == "dotted_key":
            waiting.extend(reversed(each.named_children))
        else:
            text = (each.text or b"").decode()
            yield text[1:-1] if each.type == "quoted_key" else text


MAX_DEPTH = 20  # chosen, because a plan nests eight levels at most
MAX_BYTES = 4_000_000  # chosen, because 2,000 cells with notes take well under one megabyte
_LONG_NAME = re.compile(r"""(?<![\w-])(?:["']?[\w-]++["']?\s*+\.\s*+){100}""")
_AT = re.compile(r"^(?P<what>.*) \(at (?:line (?P<line>\d+), column \d+|end of document)\)$")
_HINTS = (
    (re.compile(r"[\u201c\u201d\u2018\u2019]"), 'Use straight quotes: "…". A word processor bends them.'),
    (re.compile(r"=\s*(yes|no|True|False|TRUE|FALSE)\b"), "Write true or false, in small letters, without quotes."),
    (re.compile(r'=\s*"[^"]*$'), 'The closing quote is missing: "…".'),
    (re.compile(r"=\s*0\d+\s*(#.*)?$"), 'Write a tempo or a time in quotes: tempo = "3-1-2-0".'),
    (re.compile(r"=\s*\d+(\.\d+)?-\d"), 'Put a tempo in quotes: tempo = "3-1-2-0".'),
    (re.compile(r"=\s*\d+:\d+"), 'Write times in quotes: rest = "1:30".'),
    (re.compile(r"=\s*\d+,\d+"), 'Write a decimal point, not a comma, and the unit in quotes: "2.5 kg".'),
    (re.compile(r"=\s*[A-Za-z][\w \-]*$"), "Put words in quotes."),
    (re.compile(r"=\s*\d[\d.]*\s*[A-Za-z%\"]"), 'Put an amount with its unit in quotes: load = "10 lb".'),
    (re.compile(r"^\s*[\w\-]+\s*:"), "TOML writes `name = value`, not `name: value`."),
)


def read_text(path: Path) -> str:
    """The file's text: a leading mark and CRLF line ends are read as if they were not there.

    Raises Faults when the file cannot be read, is too large or is not UTF-8.
    """

    def refuse(line: int, expected: str, got: str, remedy: str) -> Faults:
        where = Where(file=str(path), line=line, field="file")
        return Faults([Fault(where=where, expected=expected, got=got, remedy=remedy)])

    try:
        raw = path.read_bytes()
    except OSError as error:
        reason = error.strerror or str(error)
        raise refuse(0, "a file that can be read", reason, "Check the name and the folder.") from None
    if len(raw) > MAX_BYTES:
        raise refuse(0, f"at most {MAX_BYTES:,} bytes", f"{len(raw):,} bytes", "Split the file.")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        sample = short_text(raw[max(0, error.start - 12) : error.start + 8].decode("cp1252", "replace"))
        remedy = f"Save it as UTF-8. Read as Western European this place says {sample}."
        raise refuse(line, "UTF-8 text", f"byte 0x{raw[error.start]:02x}", remedy) from None
    return text.replace("\r\n", "\n")


def parse(text: str, file: str) -> dict[str, Any]:
    """The TOML document in `text`. Raises Faults with the line when it is not TOML."""
    try:
        if _LONG_NAME.search(text):  # the standard library takes minutes over one, then nests as deep
            raise RecursionError
        document = tomllib.loads(text)
        if _depth(document) > MAX_DEPTH:
            raise RecursionError
        return document
    except tomllib.TOMLDecodeError as error:
        match = _AT.match(str(error))
        lines = text.split("\n")
        number = int(match["line"]) if match and match["line"] else len(lines)
        written = lines[number - 1] if number <= len(lines) else ""
        what = match["what"] if match else str(error)
        twice = "It is written above already: keep one of the two." if "verwrite" in what else "Mend this line."
        remedy = next((hint for pattern, hint in _HINTS if pattern.search(written)), twice)
        where = Where(file=file, line=number, field="file")
        got = f"{short_text(written.strip())} ({what[0].lower()}{what[1:]})"
        raise Faults([Fault(where=where, expected="TOML", got=got, remedy=remedy)]) from None
    except (RecursionError, ValueError) as error:
        deep = isinstance(error, RecursionError)
        where = Where(file=file, line=0, field="file")
        got = "brackets or dotted names nested too deep" if deep else short_text(str(error))
        remedy = "A plan needs eight levels at most." if deep else "Mend the value."
        raise Faults([Fault(where=where, expected="TOML", got=got, remedy=remedy)]) from None


def _depth(document: dict[str, Any]) -> int:
    """How deep tables and lists nest, counted no further than is allowed."""
    level: list[Any] = [document]
    for depth in range(MAX_DEPTH + 2):
        inner = [each.values() if isinstance(each, dict) else each for each in level]
        level = [value for values in inner for value in values if isinstance(value, dict | list)]
        if not level:
            return depth + 1
    return MAX_DEPTH + 1
