"""Plain text with marks of time, [1:05] or 1:05: each mark is where the words behind it begin."""

import re
from collections.abc import Iterator, Sequence
from itertools import pairwise
from statistics import median

from everyrung.lookback.transcript import WORD_MS, TimedWord, plain_words, spread_words
from everyrung.publish.problem import Problem

# In brackets anywhere; bare at the start of a line only, for a leader may say "the 6:30 class".
_CLOCK = r"(?:(\d{1,2}):)?(\d{1,3}):([0-5]\d)(?:[.,]\d{1,3})?"
_MARK = re.compile(rf"[\[(]{_CLOCK}[\])]|^\s*{_CLOCK}(?=\s|$)", re.MULTILINE)
REGULAR_MS = 15_000  # marks at even distances above that are a recorder's, not where a sentence begins; chosen
REGULAR_SHARE = 0.8  # of the distances, to a second


def has_marks(text: str) -> bool:
    """Whether there is a mark at all."""
    return _MARK.search(text) is not None


def marked_words(text: str, problems: list[Problem]) -> Iterator[TimedWord]:
    """The words between marks; what stands before the first is left out and reported, as is a mark that goes back."""
    marks = list(_MARK.finditer(text))
    if plain_words(text[: marks[0].start()]):
        problems.append(_before_marks(text[: marks[0].start()]))
    pieces: list[tuple[int, str]] = []
    for mark, end in zip(marks, [*(each.start() for each in marks[1:]), len(text)], strict=True):
        at_ms, words = _mark_ms(mark), text[mark.end() : end]
        if pieces and at_ms < pieces[-1][0]:
            problems.append(_backwards(text, mark))
            pieces[-1] = (pieces[-1][0], pieces[-1][1] + words)
        else:
            pieces.append((at_ms, words))
    yield from _between(pieces)


def _mark_ms(mark: re.Match[str]) -> int:
    hours, minutes, seconds = mark.group(1, 2, 3) if mark[2] else mark.group(4, 5, 6)
    return ((int(hours or 0) * 60 + int(minutes)) * 60 + int(seconds)) * 1000


def _between(pieces: Sequence[tuple[int, str]]) -> Iterator[TimedWord]:
    """Words follow their mark without delay; at even marks they may stand anywhere up to the next."""
    even = _are_even([at_ms for at_ms, _ in pieces])
    ends = [at_ms for at_ms, _ in pieces[1:]]
    for at, (at_ms, words) in enumerate(pieces):
        natural = max(1, len(plain_words(words)) * WORD_MS)
        left = ends[at] - at_ms if at < len(ends) else natural
        yield from spread_words(words, at_ms, at_ms + max(1, left if even else min(left, natural)))


def _are_even(starts: Sequence[int]) -> bool:
    gaps = [after - before for before, after in pairwise(starts)]
    usual = median(gaps) if gaps else 0
    return usual >= REGULAR_MS and sum(abs(gap - usual) <= 1000 for gap in gaps) >= REGULAR_SHARE * len(gaps)


def _before_marks(words: str) -> Problem:
    return Problem(
        line=1,
        what="words before the first mark",
        expected="a mark of time first",
        got=" ".join(words.split())[:40],
        put_right=False,
        remedy="They are left out: write their time before them.",
    )


def _backwards(text: str, mark: re.Match[str]) -> Problem:
    return Problem(
        line=text.count("\n", 0, mark.start()) + 1,
        what="mark of time",
        expected="a time after the mark before",
        got=mark[0].strip(),
        put_right=True,
        remedy="Its words are read as part of the mark before.",
    )
