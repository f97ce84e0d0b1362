"""Chapters as they stand in a file from elsewhere: a plain list, a WebVTT chapter file, or ffmpeg's metadata.

Chapters of a recording: from blocks and sets, as a WebVTT chapter file or as a list for a video's text.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

from everyrung.publish.captions.format import ARROW, escape, stamp, stamp_ms
from everyrung.publish.captions.parse import blocks, plain_line
from everyrung.publish.problem import Problem
from everyrung.terms.enums import BlockKind
from everyrung.terms.errors import require
from everyrung.terms.timeline import Span, Timeline

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


ChapterList = tuple[list[FoundChapter], list[Problem]]


def found_chapters(content: str) -> ChapterList:
    """The chapters in the file's order, and lines that are no chapter."""
    text = content.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    if text.startswith(";FFMETADATA"):
        return _metadata(text.split("\n"))
    return _vtt(text) if text.startswith("WEBVTT") else _plain_list(text.split("\n"))


def _plain_list(lines: list[str]) -> ChapterList:
    """Lines that begin with a time; a description around them is not the chapters' business."""
    marks, problems = [], []
    for number, line in enumerate(lines, 1):
        if (match := _LISTED.fullmatch(line)) is not None:
            marks.append(FoundChapter(line=number, at_ms=stamp_ms(match[1]) or 0, title=match[2]))
        elif re.match(r"\s*\d+:\d", line):
            expected, remedy = "'1:30 Title', or '1:02:30 Title' beyond an hour", "Write whole seconds, then a space."
            problems.append(_unread(number, "time", expected, line, remedy))
    return marks, problems


def _vtt(text: str) -> ChapterList:
    read = blocks(text, is_vtt=True)
    marks, problems = [], list(read.problems)
    for cue in read.cues:
        titles = [plain_line(line, number).text for number, line in cue.payload]
        if len(titles) > 1:
            problems.append(_unread(cue.line, "title", "one line", f"{len(titles)} lines", "Keep one line."))
        marks.append(
            FoundChapter(line=cue.line, at_ms=cue.at_ms, end_ms=cue.end_ms, title=" ".join(titles), nests=True)
        )
    return marks, problems


def _metadata(lines: list[str]) -> ChapterList:
    """Times count in units of TIMEBASE, by default a thousand millionth of a second."""
    marks: list[FoundChapter] = []
    problems: list[Problem] = []
    inside, base_ms = False, Fraction(1, 1_000_000)
    for number, line in enumerate(lines, 1):
        if line.startswith("["):
            inside, base_ms = line.strip().upper() == "[CHAPTER]", Fraction(1, 1_000_000)
            if inside:
                marks.append(FoundChapter(line=number, at_ms=0))
        elif inside and (field := _FIELD.fullmatch(line)) is not None:
            name, value = field[1].upper(), field[2]
            if name == "TIMEBASE" and (base := _BASE.fullmatch(value)) is not None:
                base_ms = Fraction(int(base[1]) * 1000, int(base[2]))
            elif name == "TITLE":
                marks[-1] = replace(marks[-1], title=re.sub(r"\\(.)", r"\1", value))
            elif name != "TIMEBASE" and _WHOLE.fullmatch(value):
                at_ms = round(int(value) * base_ms)
                marks[-1] = replace(marks[-1], at_ms=at_ms) if name == "START" else replace(marks[-1], end_ms=at_ms)
            else:
                problems.append(_unread(number, name, "a whole number, or 1/1000", value, "Mend the number."))
    return marks, problems


def _unread(line: int, what: str, expected: str, got: str, remedy: str) -> Problem:
    return Problem(line=line, what=what, expected=expected, got=got.strip(), put_right=False, remedy=remedy)


LEAST_COUNT = 3  # rule of video hosts: with fewer they show none
LEAST_MS = 10_000  # rule of video hosts: one chapter under 10 s and they show none


@dataclass(frozen=True, slots=True, kw_only=True)
class Chapter:
    """One stretch of a recording, with a plain title of one line. Raises Invalid."""

    at_ms: int
    end_ms: int
    title: str

    def __post_init__(self) -> None:
        require(0 <= self.at_ms < self.end_ms, "end_ms", f"more than {self.at_ms} ms", self.end_ms)
        plain = bool(self.title.strip()) and len(self.title.splitlines()) == 1 and ARROW not in self.title
        require(plain, "title", f"one line of words without {ARROW}", self.title)

    @property
    def duration_ms(self) -> int:
        return self.end_ms - self.at_ms


def chapters(timeline: Timeline) -> tuple[Chapter, ...]:
    """One for each set of the main part, so that any move is found, and one for each other block; for each set
    everywhere where that makes fewer than 3.

    They follow each other from 0 to the end. Nothing when the session is too short for 3 of 10 s.
    """
    for parts in (_main_sets(timeline.spans), _moves(timeline.spans)):
        if len(result := long_enough(list(parts))) >= LEAST_COUNT:
            return result
    return ()


def _main_sets(spans: Sequence[Span]) -> Iterator[Chapter]:
    """A block's talk belongs to its first set."""
    keys, titles = [], []
    for span in spans:
        is_main = span.block.kind is BlockKind.MAIN and bool(span.block.rounds)
        cell = (span.cell or next(iter(span.block.cells), None)) if is_main else None
        round_name = f"{cell.ref.round}: " if cell and len(span.block.rounds) > 1 else ""
        keys.append((id(span.block), id(cell)))
        titles.append(f"{round_name}{cell.rung.name}" if cell else span.block.name)
    yield from _cut(spans, keys, titles)


def _moves(spans: Sequence[Span]) -> Iterator[Chapter]:
    titles = [span.cell.rung.name if span.cell else span.block.name for span in spans]
    yield from _cut(spans, [(id(span.block), id(span.cell)) for span in spans], titles)


def _cut(spans: Sequence[Span], keys: Sequence[tuple[int, int]], titles: Sequence[str]) -> Iterator[Chapter]:
    """A chapter for each run of spans of one key."""
    starts = [at for at, key in enumerate(keys) if not at or key != keys[at - 1]]
    for first, after in pairwise([*starts, len(spans)]):
        title = " ".join(titles[first].replace(ARROW, "→").split()) or "Untitled"
        yield Chapter(at_ms=spans[first].at_ms, end_ms=spans[after - 1].end_ms, title=title)


def long_enough(parts: list[Chapter]) -> tuple[Chapter, ...]:
    """Short ones joined to the one before, the first to the one after; the longer of the two gives the title."""
    at = 0
    while len(parts) > 1 and at < len(parts):
        if parts[at].duration_ms >= LEAST_MS:
            at += 1
            continue
        at = max(at - 1, 0)
        first, second = parts[at], parts[at + 1]
        title = max(first, second, key=lambda each: each.duration_ms).title
        parts[at : at + 2] = [replace(first, end_ms=second.end_ms, title=title)]
    return tuple(parts)


def chapters_vtt(marks: Iterable[Chapter]) -> str:
    """A WebVTT chapter file: one line of text a cue."""
    cues = [f"{stamp(each.at_ms, '.')} {ARROW} {stamp(each.end_ms, '.')}\n{escape(each.title)}\n" for each in marks]
    return "\n".join(["WEBVTT\n", *cues])


def chapters_text(marks: Iterable[Chapter]) -> str:
    """'0:00 Welcome', a line each, as hosts read it from a video's description; hours where there are any."""
    return "".join(f"{_short(each.at_ms)} {each.title}\n" for each in marks)


def _short(at_ms: int) -> str:
    minutes, seconds = divmod(at_ms // 1000, 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02d}:{seconds:02d}" if hours else f"{minutes}:{seconds:02d}"


def check_chapters(content: str, length_ms: int | None) -> tuple[Problem, ...]:
    """What stops a host from showing the chapters of a list, WebVTT or FFMETADATA text; `length_ms` is the video's."""
    marks, problems = found_chapters(content)
    checks = [*problems, *_count(marks)]
    for at, each in enumerate(marks):
        after = marks[at + 1] if at + 1 < len(marks) else None
        checks += [*_title_problems(each), *_follows(each, after), *_length(each, after, length_ms)]
        if length_ms is not None:
            checks += _inside(each, length_ms)
    return tuple(sorted(checks, key=lambda each: each.line))


def _count(marks: Sequence[FoundChapter]) -> Iterator[Problem]:
    if len(marks) < LEAST_COUNT:
        remedy = "Add chapters: with fewer none is shown."
        yield _wrong(0, "count", f"at least {LEAST_COUNT} chapters", str(len(marks)), remedy)
    if marks and marks[0].at_ms:
        remedy = "Begin the first chapter at 0:00: else none is shown."
        yield _wrong(marks[0].line, "first chapter", "a start at 0:00", _exact(marks[0].at_ms), remedy)


def _title_problems(each: FoundChapter) -> Iterator[Problem]:
    if not each.title.strip():
        remedy = "Give it a title: players join a chapter without one to the chapter before."
        yield _wrong(each.line, "title", "words", "none", remedy)


def _follows(each: FoundChapter, after: FoundChapter | None) -> Iterator[Problem]:
    """Order, and that one ends before the next begins or holds all of it."""
    if each.end_ms is not None and each.end_ms <= each.at_ms:
        got = _exact(each.end_ms)
        yield _wrong(each.line, "end", f"an end after {_exact(each.at_ms)}", got, "Mend the times.")
    if after is None:
        return
    if after.at_ms <= each.at_ms:
        expected, got = f"a start after {_exact(each.at_ms)}", _exact(after.at_ms)
        yield _wrong(after.line, "order", expected, got, "Put the chapters in order of time, no two at once.")
    elif each.end_ms is not None and after.at_ms < each.end_ms and not _holds(each, after):
        remedy = f"End the chapter before at {_exact(after.at_ms)}: players cut it there, or refuse the file."
        yield _wrong(after.line, "overlap", f"a start at {_exact(each.end_ms)} or later", _exact(after.at_ms), remedy)


def _holds(outer: FoundChapter, inner: FoundChapter) -> bool:
    """WebVTT chapter files may nest."""
    return outer.nests and outer.end_ms is not None and inner.end_ms is not None and inner.end_ms <= outer.end_ms


def _length(each: FoundChapter, after: FoundChapter | None, length_ms: int | None) -> Iterator[Problem]:
    """Measured to the next start in a list, to its own end elsewhere; the last of a list needs the video's length."""
    end_ms = each.end_ms if each.end_ms is not None else after.at_ms if after else length_ms
    if end_ms is not None and 0 < end_ms - each.at_ms < LEAST_MS:
        remedy = "Join it to a neighbour: one short chapter and none is shown."
        got = f"{(end_ms - each.at_ms) / 1000:g} s"
        yield _wrong(each.line, "length", f"at least {LEAST_MS // 1000} s", got, remedy)


def _inside(each: FoundChapter, length_ms: int) -> Iterator[Problem]:
    if each.at_ms >= length_ms or (each.end_ms or 0) > length_ms:
        got = _exact(each.at_ms if each.at_ms >= length_ms else each.end_ms or 0)
        yield _wrong(each.line, "past the end", f"times up to {_exact(length_ms)}", got, "Shorten it or leave it out.")


def _exact(at_ms: int) -> str:
    return _short(at_ms) + (f".{at_ms % 1000:03d}" if at_ms % 1000 else "")


def _wrong(line: int, what: str, expected: str, got: str, remedy: str) -> Problem:
    return Problem(line=line, what=what, expected=expected, got=got, put_right=False, remedy=remedy)
