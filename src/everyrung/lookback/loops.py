"""Words that a machine made up: speech-to-text that goes round in a loop over music says nothing about a leader.

A phrase of two words and more that comes four times on end, with no word of the plan in it, is taken for one: people
who repeat themselves say something between. Without the sound there is no proof, so it is reported as unsure.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from everyrung.lookback.counts import number
from everyrung.lookback.hits import Hit
from everyrung.lookback.outcome import Outcome
from everyrung.lookback.transcript import TimedWord

SHORTEST, LONGEST = 2, 10  # words of a phrase that goes round
TIMES = 4  # case F29 of our cases: over three in a row
LIKE = 0.9  # of a word of the plan that keeps a phrase from being a loop


@dataclass(frozen=True, slots=True, kw_only=True)
class Loop:
    """A phrase that comes again and again on end: its words, from `first` to before `end`."""

    phrase: tuple[str, ...]
    times: int
    first: int
    end: int


def loops(words: Sequence[TimedWord], hits: Sequence[Hit]) -> tuple[Loop, ...]:
    """All of them, in order of time."""
    in_plan = {place for hit in hits if hit.likeness >= LIKE for place in range(hit.first, hit.end)}
    texts = [word.text for word in words]
    return tuple(_loops(texts, in_plan))


def _loops(texts: Sequence[str], in_plan: set[int]) -> Iterator[Loop]:
    at = 0
    while at < len(texts):
        size, times = _most(texts, at)
        here = range(at, at + size * times)
        if times >= TIMES and not any(place in in_plan or number(texts[place]) is not None for place in here):
            yield Loop(phrase=tuple(texts[at : at + size]), times=times, first=at, end=at + size * times)
            at += size * times
        else:
            at += 1


def _most(texts: Sequence[str], at: int) -> tuple[int, int]:
    """The size of the phrase that begins here and covers most words by coming again on end, and its times."""
    best = (SHORTEST, 1)
    for size in range(SHORTEST, LONGEST + 1):
        phrase, times = texts[at : at + size], 1
        while texts[at + size * times : at + size * (times + 1)] == phrase and len(phrase) == size:
            times += 1
        if times >= TIMES and size * times > best[0] * best[1]:
            best = (size, times)
    return best


def without_loops(outcome: Outcome) -> Outcome:
    """The same outcome for counting words: what a machine made up is not in its transcript."""
    made_up = {place for loop in loops(outcome.transcript.words, outcome.hits) for place in range(loop.first, loop.end)}
    words = tuple(word for place, word in enumerate(outcome.transcript.words) if place not in made_up)
    return replace(outcome, transcript=replace(outcome.transcript, words=words)) if made_up else outcome
