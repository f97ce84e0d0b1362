"""Word errors as automatic captions have them, and the files such words come in.

A word becomes another that sounds near (62 % of the errors), is dropped (13 %), runs into the next (8 %), falls into
two (7 %), or a small word comes in (10 %); shares are chosen. What sounds near is taken from the words of this
project's own pages, by classes of consonants heard for each other (not by the key with which they are searched).
"""

import random
import re
from collections.abc import Iterator, Sequence
from functools import cache
from pathlib import Path

from rapidfuzz.distance import Levenshtein
from rapidfuzz.process import extract

Word = tuple[str, float, float]
TREE = Path(__file__).resolve().parents[2]
FILLERS = ("um", "the", "and", "a", "so", "to", "it", "you")
CLASSES = str.maketrans("bdgvzqcjy", "ptkfskksi")
LINE_WORDS, PAUSE_S = 8, 1.5


@cache
def lexicon() -> tuple[str, ...]:
    """Words of our own pages and moves, in small letters."""
    paths = [*TREE.glob("docs/*.md"), *TREE.glob("src/everyrung/moves/library/*.toml")]
    text = " ".join(path.read_text(encoding="utf-8").lower() for path in sorted(paths))
    return tuple(sorted(set(re.findall(r"[a-z]{2,}", text))))


def heard_as(word: str) -> str:
    """Consonants by class, vowels at the start alone.

    >>> heard_as("lunge"), heard_as("lunch"), heard_as("plank"), heard_as("blank")
    ('lnk', 'lnkh', 'plnk', 'plnk')
    """
    plain = word.translate(CLASSES)
    return (
        plain[:1] + re.sub(r"[aeiouwh]", "", plain[1:])
        if "h" not in word
        else plain[:1] + re.sub(r"[aeiou]", "", plain[1:])
    )


@cache
def _keys() -> tuple[str, ...]:
    return tuple(map(heard_as, lexicon()))


@cache
def near_words(word: str) -> tuple[str, ...]:
    """Up to six others that sound most like it."""
    close = extract(heard_as(word), _keys(), scorer=Levenshtein.distance, limit=40, score_cutoff=1)
    words = [lexicon()[place] for _, _, place in close if lexicon()[place] != word]
    return tuple(sorted(words, key=lambda other: (Levenshtein.distance(word, other), other))[:6])


def spoil(words: Sequence[Word], rate: float, seed: int) -> list[Word]:
    """The words with this share of errors."""
    rng = random.Random(seed)
    result: list[Word] = []
    at = 0
    while at < len(words):
        word, begin, end = words[at]
        at += 1
        if rng.random() >= rate:
            result.append((word, begin, end))
            continue
        kind = rng.random()
        if kind < 0.62:
            others = near_words(word)
            result.append((rng.choice(others) if others else word[:-1] or "a", begin, end))
        elif kind < 0.75:
            continue
        elif kind < 0.83 and at < len(words):
            result.append((word + words[at][0], begin, words[at][2]))
            at += 1
        elif kind < 0.90 and len(word) > 3:
            cut = len(word) // 2
            middle = (begin + end) / 2
            result += [(word[:cut], begin, middle), (word[cut:], middle, end)]
        else:
            result += [(word, begin, (begin + end) / 2), (rng.choice(FILLERS), (begin + end) / 2, end)]
    return result


def rolling_captions(words: Sequence[Word]) -> str:
    """WebVTT in which each line is shown twice, as the text moves up."""
    rows = list(_lines(words))
    blocks, before = ["WEBVTT"], ""
    for text, begin, end in rows:
        above = f"{before}\n" if before else " \n"
        blocks.append(f"{_stamp(begin)} --> {_stamp(end)}\n{above}{text}")
        blocks.append(f"{_stamp(end)} --> {_stamp(end + 0.01)}\n{text}\n ")
        before = text
    return "\n\n".join(blocks) + "\n"


def _lines(words: Sequence[Word]) -> Iterator[Word]:
    row: list[Word] = []
    for word in words:
        if row and (len(row) == LINE_WORDS or word[1] - row[-1][2] > PAUSE_S):
            stays = min(word[1], row[-1][2] + 3)  # on the screen, when nothing more is said
            yield " ".join(each[0] for each in row), row[0][1], max(stays, row[0][1] + 0.2)
            row = []
        row.append(word)
    if row:
        yield " ".join(each[0] for each in row), row[0][1], max(row[-1][2], row[0][1] + 0.2)


def _stamp(seconds: float) -> str:
    ms = round(seconds * 1000)
    return f"{ms // 3_600_000:02d}:{ms // 60_000 % 60:02d}:{ms // 1000 % 60:02d}.{ms % 1000:03d}"


def marked_text(words: Sequence[Word], every_s: int = 40) -> str:
    """Plain text with a mark each 40 s."""
    chunks: dict[int, list[str]] = {}
    for word, begin, _ in words:
        chunks.setdefault(int(begin // every_s) * every_s, []).append(word)
    return "\n".join(f"[{at // 60}:{at % 60:02d}] {' '.join(row)}" for at, row in sorted(chunks.items()))
