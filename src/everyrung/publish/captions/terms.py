"""One caption, and the limits that keep it readable."""

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
    """Time on screen for so many words, in ms: never under the least time."""
    return max(LEAST_MS, ceil(words * 60_000 / MOST_WPM))
