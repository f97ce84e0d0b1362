"""From bytes to a TOML document, or faults that say where and what to do."""

import re
from pathlib import Path
from typing import Any

import tomli

from everyrung.terms.errors import Fault, Faults, Where, short_text
from everyrung.terms.sentences import lower_first

MAX_DEPTH = 20  # chosen, because a plan nests eight levels at most
MAX_BYTES = 4_000_000  # chosen, because 2,000 cells with notes take well under one megabyte
MAX_DOTS = 100  # of a name; chosen, because a plan's have seven
# Patterns as text: they are compiled when a file is at fault, not whenever the program starts.
_LONG_NAME = rf"""(?<![\w-])(?:["']?[\w-]++["']?\s*+\.\s*+){{{MAX_DOTS}}}"""
_AT = r"^(?P<what>.*) \(at (?:line (?P<line>\d+), column \d+|end of document)\)$"
_HINTS = (
    (r"[\u201c\u201d\u2018\u2019]", 'Use straight quotes: "…". A word processor bends them.'),
    (r"=\s*(yes|no|True|False|TRUE|FALSE)\b", "Write true or false, in small letters, without quotes."),
    (r'=\s*"[^"]*$', 'The closing quote is missing: "…".'),
    (r"=\s*0\d+\s*(#.*)?$", 'Write a tempo or a time in quotes: tempo = "3-1-2-0".'),
    (r"=\s*\d+(\.\d+)?-\d", 'Put a tempo in quotes: tempo = "3-1-2-0".'),
    (r"=\s*\d+:\d+", 'Write times in quotes: rest = "1:30".'),
    (r"=\s*\d+,\d+", 'Write a decimal point, not a comma, and the unit in quotes: "2.5 kg".'),
    (r"=\s*[A-Za-z][\w \-]*$", "Put words in quotes."),
    (r"=\s*\d[\d.]*\s*[A-Za-z%\"]", 'Put an amount with its unit in quotes: load = "10 lb".'),
    (r"^\s*[\w\-]+\s*:", "TOML writes `name = value`, not `name: value`."),
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
        if any(line.count(".") >= MAX_DOTS and re.search(_LONG_NAME, line) for line in text.split("\n")):
            raise RecursionError  # a reader takes minutes over such a name, then nests as deep
        document = tomli.loads(text)
        if _depth(document) > MAX_DEPTH:
            raise RecursionError
        return document
    except tomli.TOMLDecodeError as error:
        match = re.match(_AT, str(error))
        lines = text.split("\n")
        number = int(match["line"]) if match and match["line"] else len(lines)
        line = lines[number - 1] if number <= len(lines) else ""
        what = match["what"] if match else str(error)
        twice = "It is written above already: keep one of the two." if "verwrite" in what else "Mend this line."
        remedy = next((hint for pattern, hint in _HINTS if re.search(pattern, line)), twice)
        where = Where(file=file, line=number, field="file")
        got = f"{short_text(line.strip())} ({lower_first(what)})"
        raise Faults([Fault(where=where, expected="TOML", got=got, remedy=remedy)]) from None
    except (RecursionError, ValueError) as error:
        deep = isinstance(error, RecursionError)
        where = Where(file=file, line=0, field="file")
        got = "brackets or dotted names nested too deeply" if deep else short_text(str(error))
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
