"""Content lines of an iCalendar file (RFC 5545, section 3.1): unfolded as bytes, with the lines they stand on."""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from everyrung.publish.problem import Problem

MOST_OCTETS = 75  # RFC 5545, section 3.1: without the line break
_NAMED = re.compile(r'([A-Za-z0-9-]+)((?:;[A-Za-z0-9-]+=(?:"[^"]*"|[^";:])*)*):(.*)', re.DOTALL)
_PARAMETER = re.compile(r';([A-Za-z0-9-]+)=((?:"[^"]*"|[^";:])*)')


@dataclass(frozen=True, slots=True, kw_only=True)
class ContentLine:
    """A property: `line` is where it begins in the file; names in capitals, the value as written."""

    line: int
    name: str
    parameters: Mapping[str, str]
    value: str


def content_lines(content: bytes) -> tuple[list[ContentLine], list[Problem]]:
    """Every property of the file. A sign of several bytes may be folded in its middle, so bytes are joined first."""
    problems: list[Problem] = []
    found: list[ContentLine] = []
    for line, folded in _unfolded(content, problems):
        joined = b"".join(folded)
        if not joined.strip():
            continue
        _split_sign(line, folded, problems)
        try:
            text = joined.decode("utf-8")
        except UnicodeDecodeError:
            text = joined.decode("cp1252", errors="replace")
            problems.append(_problem(line, "encoding", "UTF-8", text, "Read as Windows-1252: look at the letters."))
        if (named := _NAMED.fullmatch(text)) is None:
            problems.append(_problem(line, "line", "NAME:value", text, "Take the line out.", repaired=False))
            continue
        parameters = {name.upper(): value.strip('"') for name, value in _PARAMETER.findall(named[2])}
        found.append(ContentLine(line=line, name=named[1].upper(), parameters=parameters, value=named[3]))
    return found, problems


def _unfolded(content: bytes, problems: list[Problem]) -> list[tuple[int, list[bytes]]]:
    """The physical lines of each content line, with the number of the first; wrong breaks and lengths are told once."""
    raw = content.removeprefix(b"\xef\xbb\xbf").split(b"\n")
    bare = next((number for number, line in enumerate(raw[:-1], 1) if not line.endswith(b"\r")), 0)
    lines = [line.removesuffix(b"\r") for line in raw]
    long = next((number for number, line in enumerate(lines, 1) if len(line) > MOST_OCTETS), 0)
    if bare:
        problems.append(_problem(bare, "line break", "CR and LF", "LF alone", "Some calendars refuse the file."))
    if long:
        expected, got = f"at most {MOST_OCTETS} bytes", f"{len(lines[long - 1])} bytes"
        problems.append(_problem(long, "length", expected, got, "Fold it: a line break and a space between two signs."))
    found: list[tuple[int, list[bytes]]] = []
    for number, line in enumerate(lines, 1):
        if found and line[:1] in (b" ", b"\t"):
            found[-1][1].append(line[1:])
        else:
            found.append((number, [line]))
    return found


def _split_sign(line: int, folded: list[bytes], problems: list[Problem]) -> None:
    """The first fold inside a sign of several bytes, told with the line that begins in its middle."""
    for at, part in enumerate(folded[1:], 1):
        if part and part[0] & 0b1100_0000 == 0b1000_0000:
            got = "a fold inside a sign of several bytes"
            problems.append(_problem(line + at, "fold", "folds between signs", got, "Put together before it was read."))
            return


def _problem(line: int, what: str, expected: str, got: str, remedy: str, *, repaired: bool = True) -> Problem:
    return Problem(line=line, what=what, expected=expected, got=got, repaired=repaired, remedy=remedy)
