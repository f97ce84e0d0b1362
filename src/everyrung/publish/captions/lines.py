"""Words into lines and captions' texts: whole words, balanced, parted where the sense parts."""

import unicodedata
from collections.abc import Sequence

from everyrung.publish.captions.format import ARROW, MOST_LINES, MOST_SIGNS

_JOINTS = ("-", "/", "\u2010", "\u2013", "\u2014")
_STOPS = (".", "!", "?", ";", ":", "…")
_STOP_WORTH = 400  # chosen, because a text parted at a full stop may then be 20 signs off balance
_COMMA_WORTH = 150  # chosen, because a comma is a weaker reason: 12 signs
_ONE_MORE = 100_000  # chosen, because it is more than any balance: as few captions as the words need


def plain_words(text: str) -> list[str]:
    """The words of a text, none longer than a line; control signs go, and the arrow of times becomes one sign."""
    spaced = "".join(" " if sign.isspace() else sign for sign in text)
    visible = "".join(sign for sign in spaced if unicodedata.category(sign) not in ("Cc", "Cs"))
    return [part for word in visible.replace(ARROW, "→").split() for part in _parts(word)]


def _parts(word: str) -> list[str]:
    """A word that is longer than a line, in parts: after a hyphen or a stroke of its own, else with a new hyphen."""
    parts: list[str] = []
    while len(word) > MOST_SIGNS:
        cut = max(word.rfind(joint, 0, MOST_SIGNS) for joint in _JOINTS) + 1
        if cut < 2:
            cut = _before_marks(word, MOST_SIGNS - 1)
            parts.append(word[:cut] + "-")
        else:
            parts.append(word[:cut])
        word = word[cut:]
    return [*parts, word]


def _before_marks(word: str, cut: int) -> int:
    """`cut`, or earlier so that accents stay on their letter."""
    at = cut
    while at > 1 and unicodedata.combining(word[at]):
        at -= 1
    return at if at > 1 else cut


def width(words: Sequence[str]) -> int:
    """Signs of the words with a space between any two."""
    return sum(map(len, words)) + len(words) - 1


def broken(words: Sequence[str]) -> tuple[str, ...]:
    """The words on one line or two balanced ones; nothing when they do not fit."""
    if width(words) <= MOST_SIGNS:
        return (" ".join(words),)
    if width(words) > MOST_LINES * MOST_SIGNS + 1:
        return ()
    breaks = [(words[:at], words[at:]) for at in range(1, len(words)) if _allowed(words[:at], words[at:])]
    if not breaks:
        return ()
    top, bottom = min(breaks, key=lambda both: abs(width(both[0]) - width(both[1])) ** 2 - _worth(both[0][-1]))
    return (" ".join(top), " ".join(bottom))


def _allowed(top: Sequence[str], bottom: Sequence[str]) -> bool:
    """A last line of a bare number is taken for the next caption's index by some readers."""
    return max(width(top), width(bottom)) <= MOST_SIGNS and not "".join(bottom).isdigit()


def _worth(word: str) -> int:
    """How good it is to part after a word."""
    if word.endswith(_STOPS):
        return _STOP_WORTH
    return _COMMA_WORTH if word.endswith(",") else 0


def parted(words: Sequence[str]) -> list[tuple[str, ...]]:
    """The words in as few texts as fit captions, of like length, parted at stops where there are any."""
    best: list[tuple[int, int]] = [(0, 0)]
    for end in range(1, len(words) + 1):
        options = []
        for begin in range(end - 1, -1, -1):
            if width(words[begin:end]) > MOST_LINES * MOST_SIGNS + 1:
                break
            if broken(words[begin:end]):
                loss = _ONE_MORE + width(words[begin:end]) ** 2 - _worth(words[end - 1])
                options.append((best[begin][0] + loss, begin))
        best.append(min(options))
    texts: list[tuple[str, ...]] = []
    end = len(words)
    while end:
        begin = best[end][1]
        texts.insert(0, tuple(words[begin:end]))
        end = begin
    return texts
