"""Chapters as they stand in a file from elsewhere: a plain list, a WebVTT chapter file, or ffmpeg's metadata."""

import re
from dataclasses import dataclass, replace
from fractions import Fraction

from everyrung.publish.captions.format import stamp_ms
from everyrung.publish.captions.parse import blocks, plain_line
from everyrung.publish.problem import Problem

_LISTED = re.compile(r"\s*[\[(]?((?:\d{1,4}:)?\d{1,3}:\d{2})[\])]?(?=\s|$)\s*[-–—:]?\s*(.*?)\s*")
_FIELD = re.compile(r"(TIMEBASE|START|END|title)\s*=(.*)", re.IGNORECASE)
_BASE = re.compile(r"\s*(\d{1,9})/([1-9]\d{0,9})\s*")
_WHOLE = re.compile(r"\s*-?\d{1,15}\s*")


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundChapter:
    """`line` is where it begins in the file; a list gives no `end_ms`; only WebVTT `nests`."""

    line: int
    at_ms: int
    end_ms: int | None = None
    title: str = ""
    nests: bool = False


Found = tuple[list[FoundChapter], list[Problem]]


def found_chapters(content: str) -> Found:
    """The chapters in the file's order, and lines that are no chapter."""
    text = content.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    if text.startswith(";FFMETADATA"):
        return _metadata(text.split("\n"))
    return _vtt(text) if text.startswith("WEBVTT") else _listed(text.split("\n"))


def _listed(lines: list[str]) -> Found:
    """Lines that begin with a time; a description around them is not the chapters' business."""
    found, problems = [], []
    for number, line in enumerate(lines, 1):
        if (match := _LISTED.fullmatch(line)) is not None:
            found.append(FoundChapter(line=number, at_ms=stamp_ms(match[1]) or 0, title=match[2]))
        elif re.match(r"\s*\d+:\d", line):
            expected, remedy = "'1:30 Title', or '1:02:30 Title' beyond an hour", "Write whole seconds, then a space."
            problems.append(_unread(number, "time", expected, line, remedy))
    return found, problems


def _vtt(text: str) -> Found:
    read = blocks(text, is_vtt=True)
    found, problems = [], list(read.problems)
    for cue in read.cues:
        titles = [plain_line(line, number).text for number, line in cue.payload]
        if len(titles) > 1:
            problems.append(_unread(cue.line, "title", "one line", f"{len(titles)} lines", "Keep one line."))
        found.append(
            FoundChapter(line=cue.line, at_ms=cue.at_ms, end_ms=cue.end_ms, title=" ".join(titles), nests=True)
        )
    return found, problems


def _metadata(lines: list[str]) -> Found:
    """Times count in units of TIMEBASE, by default a thousand millionth of a second."""
    found: list[FoundChapter] = []
    problems: list[Problem] = []
    inside, base_ms = False, Fraction(1, 1_000_000)
    for number, line in enumerate(lines, 1):
        if line.startswith("["):
            inside, base_ms = line.strip().upper() == "[CHAPTER]", Fraction(1, 1_000_000)
            if inside:
                found.append(FoundChapter(line=number, at_ms=0))
        elif inside and (field := _FIELD.fullmatch(line)) is not None:
            name, value = field[1].upper(), field[2]
            if name == "TIMEBASE" and (base := _BASE.fullmatch(value)) is not None:
                base_ms = Fraction(int(base[1]) * 1000, int(base[2]))
            elif name == "TITLE":
                found[-1] = replace(found[-1], title=re.sub(r"\\(.)", r"\1", value))
            elif name != "TIMEBASE" and _WHOLE.fullmatch(value):
                at_ms = round(int(value) * base_ms)
                found[-1] = replace(found[-1], at_ms=at_ms) if name == "START" else replace(found[-1], end_ms=at_ms)
            else:
                problems.append(_unread(number, name, "a whole number, or 1/1000", value, "Mend the number."))
    return found, problems


def _unread(line: int, what: str, expected: str, got: str, remedy: str) -> Problem:
    return Problem(line=line, what=what, expected=expected, got=got.strip(), repaired=False, remedy=remedy)
