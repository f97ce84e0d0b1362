"""Words with their times: what every kind of transcript is read as, and how far each time can be trusted."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from statistics import median

from everyrung.publish.problem import Problem

WORD_MS = 400  # of one word in running speech: 150 a minute, common practice, no source
CLAIM_MS = 5_000  # a boundary is claimed to so much, where words are timed well enough
_SOUND = re.compile(r"\[[^\]\d]*\]|\((?:music|applause|laughter|laughs|inaudible)\)|^\s*>+|♪", re.IGNORECASE)
_WORD = re.compile(r"[^\W_]+(?:['’.][^\W_]+)*")


@dataclass(frozen=True, slots=True, kw_only=True)
class TimedWord:
    """One word in small letters; it was said between `at_ms` - `off_ms` and `at_ms` + `off_ms`."""

    text: str
    at_ms: int
    end_ms: int
    off_ms: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Transcript:
    """Words in order of time, and what was wrong in the file that they were read from."""

    name: str
    words: tuple[TimedWord, ...]
    problems: tuple[Problem, ...]

    @property
    def total_ms(self) -> int:
        """From the recording's first moment to the last word."""
        return max((word.end_ms for word in self.words), default=0)

    @property
    def resolution_ms(self) -> int:
        """What a time can be claimed to: five seconds, or more where the marks stand further apart."""
        return max(CLAIM_MS, round(2 * median([word.off_ms for word in self.words] or [0])))


def plain_words(text: str) -> list[str]:
    """The words of a line in small letters, without signs, and without what is not said: [Music].

    >>> plain_words("Next: [Music] the Push-ups, 3 more!")
    ['next', 'the', 'push', 'ups', '3', 'more']
    """
    return [word.replace("’", "'").casefold() for word in _WORD.findall(_SOUND.sub(" ", text))]


def spread_words(text: str, at_ms: int, end_ms: int, *, off_ms: int | None = None) -> Iterator[TimedWord]:
    """The words of a line over its time, each as long as its letters say; `off_ms`: a quarter of the line's length
    unless it is known better.
    """
    words = plain_words(text)
    letters = sum(map(len, words)) + len(words)
    off = (end_ms - at_ms) // 4 if off_ms is None else off_ms
    before = 0
    for word in words:
        begin, before = before, before + len(word) + 1
        yield TimedWord(
            text=word,
            at_ms=at_ms + (end_ms - at_ms) * begin // letters,
            end_ms=at_ms + (end_ms - at_ms) * before // letters,
            off_ms=off,
        )
