"""How much is said in each round: words a minute, the share of time with words, the longest silence."""

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from everyrung.lookback.outcome import LedSet, Outcome
from everyrung.lookback.transcript import TimedWord

LONGEST_WORD_MS = 1_000  # a word that captions show for longer is not said for longer; chosen


@dataclass(frozen=True, slots=True, kw_only=True)
class Talk:
    """What is said in a round that begins at `at_ms`; `share` is 0 to 1; the silence is the longest between words."""

    name: str
    at_ms: int
    length_ms: int
    words: int
    share: float
    silence_at_ms: int
    silence_ms: int

    @property
    def words_a_minute(self) -> float:
        return self.words * 60_000 / max(1, self.length_ms)


def words_between(words: Sequence[TimedWord], at_ms: int, end_ms: int) -> Sequence[TimedWord]:
    """Those that begin in a stretch of time; `words` in order of time."""
    first = bisect_left(words, at_ms, key=lambda word: word.at_ms)
    return words[first : bisect_left(words, end_ms, key=lambda word: word.at_ms)]


def talk_by_round(outcome: Outcome) -> Iterator[Talk]:
    """One for each round in the order of the plan; a set led in another order counts to its own round."""
    by_round: dict[str, list[LedSet]] = {}
    for each in outcome.steps:
        if each.at_ms is not None:
            by_round.setdefault(outcome.sets[each.place].where, []).append(each)
    for name, sets in by_round.items():
        yield _talk(outcome, name, sets)


def _talk(outcome: Outcome, name: str, sets: Sequence[LedSet]) -> Talk:
    stretches = [(each.at_ms or 0, each.end_ms or 0) for each in sets]
    length_ms = sum(end_ms - at_ms for at_ms, end_ms in stretches)
    words = [word for at_ms, end_ms in stretches for word in words_between(outcome.transcript.words, at_ms, end_ms)]
    silence_ms, silence_at_ms = max(_silence(outcome.transcript.words, at_ms, end_ms) for at_ms, end_ms in stretches)
    return Talk(
        name=name,
        at_ms=stretches[0][0],
        length_ms=length_ms,
        words=len(words),
        share=min(1.0, sum(map(_spoken_ms, words)) / max(1, length_ms)),
        silence_at_ms=silence_at_ms,
        silence_ms=silence_ms,
    )


def _silence(words: Sequence[TimedWord], at_ms: int, end_ms: int) -> tuple[int, int]:
    """The longest time without a word between two moments, and when it begins."""
    here = words_between(words, at_ms, end_ms)
    ends = [at_ms, *(word.at_ms + _spoken_ms(word) for word in here)]
    return max((start - end, end) for end, start in zip(ends, [*(word.at_ms for word in here), end_ms], strict=True))


def _spoken_ms(word: TimedWord) -> int:
    return min(word.end_ms - word.at_ms, LONGEST_WORD_MS)
