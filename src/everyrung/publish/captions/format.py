"""One caption, the limits that keep it readable, and its files' text: WebVTT and SubRip (SRT)."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil

from everyrung.terms.errors import require

MOST_LINES = 2  # BBC subtitle guidelines: three only where no picture is lost
MOST_SIGNS = 37  # BBC subtitle guidelines: 68 % of a 16:9 picture's width
MOST_WPM = 160  # DCMP Captioning Key: 150 to 160 words a minute for adults, every word counted
LEAST_MS = 2_000  # DCMP Captioning Key: no caption for less than two seconds
MOST_SHIFT_MS = 1_500  # BBC subtitle guidelines: at most 1.5 s before or after the words
ARROW = "-->"  # parts the two times in WebVTT and SubRip, so no text may hold it


@dataclass(frozen=True, slots=True, kw_only=True)
class Caption:
    """Plain lines on screen from `at_ms` until `end_ms`; at least one line has words. Raises Invalid."""

    at_ms: int
    end_ms: int
    lines: tuple[str, ...]

    def __post_init__(self) -> None:
        require(0 <= self.at_ms < self.end_ms, "end_ms", f"more than {self.at_ms} ms", self.end_ms)
        require(any(map(str.strip, self.lines)), "lines", "words", self.lines)
        for line in self.lines:
            require(len(line.splitlines()) < 2 and ARROW not in line, "lines", f"no line break and no {ARROW}", line)
            require(not line.endswith(("\n", "\r")), "lines", "no line break", line)

    @property
    def words(self) -> int:
        return sum(len(line.split()) for line in self.lines)

    @property
    def needed_ms(self) -> int:
        """Time on screen that a reader needs."""
        return needed_ms(self.words)


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


def vtt(captions: Iterable[Caption]) -> str:
    """A WebVTT file's text. The numbers before the times keep simple readers from dropping words that are numbers."""
    return "\n".join(["WEBVTT\n", *(_block(index, each, ".") for index, each in enumerate(captions, 1))])


def srt(captions: Iterable[Caption]) -> str:
    """A SubRip file's text, which knows no escapes: words like a tag, which players hide, get ‹ and ›."""
    return "\n".join(_block(index, each, ",") for index, each in enumerate(captions, 1))


def escape(line: str) -> str:
    """Text of a WebVTT cue: the three signs that the format reserves, by name."""
    return line.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def without_tags(text: str) -> str:
    """Text without anything between < and >; a lone sign of either kind is no tag."""
    return text.translate(_BRACKETS) if ">" in text.partition("<")[2] else text


def _block(index: int, caption: Caption, point: str) -> str:
    lines = [line for line in caption.lines if line.strip()]
    text = "\n".join(map(escape, lines)) if point == "." else without_tags("\n".join(lines))
    return f"{index}\n{stamp(caption.at_ms, point)} {ARROW} {stamp(caption.end_ms, point)}\n{text}\n"
