"""How long a set is to last, as it is said: "forty seconds", "a minute and a half"."""

from collections.abc import Sequence

from everyrung.cues.speech import number_words
from everyrung.lookback.transcript import TimedWord

LEAST_S, MOST_S = 10, 300  # of a set; chosen, as what a plan may hold
_SECONDS = {"second", "seconds", "sec", "secs"}
_MINUTES = {"minute", "minutes", "min", "mins"}
_TO_GO = {"more", "left", "to", "last", "final", "go"}  # "ten seconds more" says no length
_VALUES = {number_words(value): value for value in range(1, 100)}


def announced_time_ms(words: Sequence[TimedWord]) -> int | None:
    """The first time that is announced, in ms; None for none.

    >>> from everyrung.lookback.transcript import spread_words
    >>> announced_time_ms(list(spread_words("for forty five seconds", 0, 5000)))
    45000
    >>> announced_time_ms(list(spread_words("ten seconds more", 0, 5000)))
    """
    texts = [word.text for word in words]
    for at, text in enumerate(texts):
        unit_s = 1 if text in _SECONDS else 60 if text in _MINUTES else 0
        value = _value(texts[max(0, at - 2) : at]) if unit_s else None
        if value is None or set(texts[at + 1 : at + 2]) & _TO_GO or set(texts[max(0, at - 3) : at]) & _TO_GO:
            continue
        half = 30 if unit_s == 60 and texts[at + 1 : at + 4] == ["and", "a", "half"] else 0
        if LEAST_S <= value * unit_s + half <= MOST_S:
            return 1000 * (value * unit_s + half)
    return None


def _value(texts: Sequence[str]) -> int | None:
    """The number that the last one or two words say."""
    if texts and texts[-1].isdecimal():
        return int(texts[-1]) if len(texts[-1]) < 4 else None
    two = _VALUES.get(" ".join(texts)) if len(texts) > 1 else None
    if two is None and texts and texts[-1] in ("a", "one"):
        return 1
    return two or _VALUES.get(texts[-1] if texts else "")
