"""Where a transcript says, or nearly says, a phrase: by spelling and by sound, the longer name before the shorter."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from rapidfuzz.distance import Levenshtein
from rapidfuzz.process import cdist

from everyrung.lookback.transcript import Transcript
from everyrung.lookback.vocabulary import Phrase, run_together, sound

LEAST = 0.68  # likeness that is looked at; chosen, because words that have nothing to do with each other reach 0.6
LEAST_SHORT = 0.8  # of names of up to five letters, which resemble more
SHORT_LETTERS, TINY_LETTERS = 5, 3  # of three letters only the very ones are a name: "row" is near "now" and "roll"
# Times that a letter that is not there weighs; chosen: "calf raises use the wall" is no "calf raise, hand on the wall".
WRONG = 3
# Words before a name that begins, and before one that is offered beside it.
MARKS = {"next", "now", "then", "into", "onto", "start", "moving", "let's", "here", "time", "ready", "last", "switch"}
OFFERS = {"easier", "harder", "option", "options", "version", "instead", "kit", "either", "if"}
MARK_WORDS = 3  # so many words before a name are looked at


@dataclass(frozen=True, slots=True, kw_only=True)
class Hit:
    """One phrase where it is said. `likeness` is 1 for its very letters; `first` and `end` are places in the words;
    `is_next` says that a word such as "next" stands before, `is_offer` one such as "easier".
    """

    phrase: Phrase
    at_ms: int
    off_ms: int
    likeness: float
    is_next: bool
    is_offer: bool
    first: int
    end: int


def hits(transcript: Transcript, phrases: Sequence[Phrase]) -> tuple[Hit, ...]:
    """All hits in order of time, none over another."""
    by_size: dict[int, list[Phrase]] = {}
    for phrase in phrases:
        by_size.setdefault(len(phrase.words), []).append(phrase)
    near = [hit for size, alike in by_size.items() for hit in _near(transcript, alike, size)]
    return tuple(sorted(_apart(near), key=lambda hit: (hit.at_ms, hit.first)))


def _near(transcript: Transcript, phrases: Sequence[Phrase], size: int) -> Iterator[Hit]:
    """Phrases of `size` words against every window of about as many words, so that words run together are found."""
    for wide in range(max(1, size - 1), size + 2):
        texts = [word.text for word in transcript.words]
        windows = [run_together(texts[at : at + wide]) for at in range(len(texts) - wide + 1)]
        kinds = list(dict.fromkeys(windows))
        if not kinds:
            continue
        likeness = dict(zip(kinds, _likeness(kinds, phrases), strict=True))
        for first, window in enumerate(windows):
            for place in np.flatnonzero(likeness[window]).tolist():
                yield _hit(transcript, phrases[place], float(likeness[window][place]), first, wide)


def _likeness(windows: Sequence[str], phrases: Sequence[Phrase]) -> np.ndarray:
    """Windows x phrases, 0 to 1; 0 where it is too little to look at. The better of spelling and half spelling, half
    sound.
    """
    names = [phrase.letters for phrase in phrases]
    spelling = cdist(windows, names, scorer=Levenshtein.normalized_similarity, score_cutoff=0.4)
    keys = cdist(list(map(sound, windows)), list(map(sound, names)), scorer=Levenshtein.normalized_similarity)
    both = np.maximum(spelling, (spelling + keys) / 2)
    least = np.array([_least(len(name)) for name in names])
    result: np.ndarray = np.where((both >= least) & (spelling > 0), both, 0.0)
    return result


def _least(letters: int) -> float:
    if letters <= TINY_LETTERS:
        return 1.0
    return LEAST_SHORT if letters <= SHORT_LETTERS else LEAST


def _hit(transcript: Transcript, phrase: Phrase, likeness: float, first: int, wide: int) -> Hit:
    words = transcript.words
    before = {word.text for word in words[max(0, first - MARK_WORDS) : first]}
    return Hit(
        phrase=phrase,
        at_ms=words[first].at_ms,
        off_ms=words[first].off_ms,
        likeness=likeness,
        is_next=bool(before & MARKS),
        is_offer=bool(before & OFFERS),
        first=first,
        end=first + wide,
    )


def _apart(near: Sequence[Hit]) -> Iterator[Hit]:
    """The best of what overlaps: by letters that are right, so that "wide squat" goes before "squat"."""
    places_in_use: set[int] = set()
    for hit in sorted(near, key=lambda hit: (-_letters(hit), hit.end - hit.first, hit.first)):
        places = set(range(hit.first, hit.end))
        if not places & places_in_use:
            places_in_use |= places
            yield hit


def _letters(hit: Hit) -> float:
    """Letters of the phrase, less those that are not there some times over."""
    return len(hit.phrase.letters) * (1 - WRONG * (1 - hit.likeness))
