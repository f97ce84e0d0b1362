"""One caption, the limits that keep it readable, and its files' text: WebVTT and SubRip (SRT)."""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from math import ceil
from operator import itemgetter

from everyrung.terms.errors import require

MOST_LINES = 2  # BBC subtitle guidelines: three only where no picture is lost
MOST_SIGNS = 37  # BBC subtitle guidelines: 68 % of a 16:9 picture's width
MOST_WPM = 160  # DCMP Captioning Key: 150 to 160 words a minute for adults, every word counted
LEAST_MS = 2_000  # DCMP Captioning Key: no caption for less than two seconds
MOST_SHIFT_MS = 1_500  # BBC subtitle guidelines: at most 1.5 s before or after the words
ARROW = "-->"  # parts the two times in WebVTT and SubRip, so no text may hold it


@dataclass(frozen=True, slots=True, kw_only=True)
class Caption:
    """Plain lines on screen from `at_ms` until `end_ms`; at least one line has words. Raises Invalid.

    `speakers`: who says each line, '' where no one is named; empty where nobody is.
    """

    at_ms: int
    end_ms: int
    lines: tuple[str, ...]
    speakers: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        require(0 <= self.at_ms < self.end_ms, "end_ms", f"more than {self.at_ms} ms", self.end_ms)
        require(any(map(str.strip, self.lines)), "lines", "words", self.lines)
        for line in self.lines:
            require(len(line.splitlines()) < 2 and ARROW not in line, "lines", f"no line break and no {ARROW}", line)
            require(not line.endswith(("\n", "\r")), "lines", "no line break", line)
        require(len(self.speakers) in (0, len(self.lines)), "speakers", "one for each line, or none", self.speakers)
        require(all(map(_is_name, self.speakers)), "speakers", "names of one line each", self.speakers)

    @property
    def voices(self) -> frozenset[str]:
        """Who speaks in it; '' is one that is not named."""
        return frozenset(self.speakers) or frozenset({""})

    @property
    def words(self) -> int:
        return sum(len(line.split()) for line in self.lines)

    @property
    def needed_ms(self) -> int:
        """Time on screen that a reader needs."""
        return needed_ms(self.words)


def _is_name(speaker: str) -> bool:
    return len(speaker.splitlines()) < 2 and speaker == speaker.strip()


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """A comment in a WebVTT file, which nobody sees on screen: the line it begins on, and how many captions are before
    it.
    """

    line: int
    text: str
    after: int

    def __str__(self) -> str:
        return f"line {self.line}: note: {' / '.join(filter(None, map(str.strip, self.text.splitlines())))}"


def needed_ms(words: int) -> int:
    """Time on screen for this many words, in ms: never under the least time."""
    return max(LEAST_MS, ceil(words * 60_000 / MOST_WPM))


STAMP = r"(?:(\d{1,4}):)?(\d{1,3}):(\d{1,3})(?:[.,](\d{1,3}))?"
_STAMP = re.compile(STAMP)


def stamp(at_ms: int, point: str) -> str:
    """'00:01:11.913' with a full stop (WebVTT) or a comma (SubRip) for `point`; hours have two digits or more."""
    require(at_ms >= 0, "at_ms", "0 ms or more", at_ms)
    seconds, thousandths = divmod(at_ms, 1000)
    minutes, seconds = divmod(seconds, 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours:02d}:{minutes:02d}:{seconds:02d}{point}{thousandths:03d}"


def stamp_ms(text: str) -> int | None:
    """Milliseconds of a time whose hours may be missing; a short fraction is a decimal one (',83' is 830 ms)."""
    match = _STAMP.fullmatch(text.strip())
    if match is None:
        return None
    hours, minutes, seconds, fraction = match.groups()
    return (int(hours or 0) * 3600 + int(minutes) * 60 + int(seconds)) * 1000 + int((fraction or "0").ljust(3, "0"))


_BRACKETS = str.maketrans("<>", "‹›")


def vtt(captions: Sequence[Caption], notes: Iterable[Note] = ()) -> str:
    """A WebVTT file's text, notes where they were. The numbers before the times keep simple readers from dropping words
    that are numbers.
    """
    parts, left = ["WEBVTT\n"], sorted(notes, key=lambda note: (note.after, note.line))
    for index, each in enumerate(captions, 1):
        while left and left[0].after < index:
            parts.append(_note(left.pop(0)))
        parts.append(_head(index, each, ".") + "".join(f"{line}\n" for line in _voice_spans(each)))
    return "\n".join([*parts, *map(_note, left)])


def srt(captions: Iterable[Caption]) -> str:
    """A SubRip file's text, which knows no escapes: words like a tag, which players hide, get ‹ and ›; nor notes; nor
    speakers: where another one begins, the name is in the words.
    """
    parts, last = [], ""
    for index, each in enumerate(captions, 1):
        rows = list(_rows(each))
        lines = _names_in_words(rows, last)
        last = rows[-1][0]
        parts.append(_head(index, each, ",") + without_tags("\n".join(lines)) + "\n")
    return "\n".join(parts)


def _names_in_words(rows: Sequence[tuple[str, str]], last: str) -> Iterator[str]:
    """'(Ann) Lower slowly': the name in round brackets where the speaker changes (DCMP Captioning Key); on the line of
    the words, chosen, because on one of its own two speakers would take four.
    """
    for speaker, line in rows:
        yield f"({speaker}) {line}" if speaker and speaker != last else line
        last = speaker


def _voice_spans(caption: Caption) -> Iterator[str]:
    """The lines as WebVTT has them: what one speaker says within a voice span (w3c_webvtt)."""
    for speaker, group in groupby(_rows(caption), key=itemgetter(0)):
        text = "\n".join(escape(line) for _, line in group)
        yield f"<v {escape(speaker)}>{text}</v>" if speaker else text


def _rows(caption: Caption) -> Iterator[tuple[str, str]]:
    """Lines with words, each with who says it."""
    speakers = caption.speakers or ("",) * len(caption.lines)
    return ((speaker, line) for speaker, line in zip(speakers, caption.lines, strict=True) if line.strip())


def _note(note: Note) -> str:
    """A comment block: no arrow and no blank line may stand in it."""
    lines = [line for line in note.text.replace(ARROW, "→").splitlines() if line.strip()]
    return "\n".join(("NOTE", *lines)) + "\n" if len(lines) != 1 else f"NOTE {lines[0].strip()}\n"


def _head(index: int, caption: Caption, point: str) -> str:
    return f"{index}\n{stamp(caption.at_ms, point)} {ARROW} {stamp(caption.end_ms, point)}\n"


def escape(line: str) -> str:
    """Text of a WebVTT cue: the three signs that the format reserves, by name."""
    return line.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def without_tags(text: str) -> str:
    """Text without anything between < and >; a lone sign of either kind is no tag."""
    return text.translate(_BRACKETS) if ">" in text.partition("<")[2] else text
