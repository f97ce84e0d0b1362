"""Captions of a cue track: long cues parted, short ones joined, each on screen for as long as it takes to read.

Whole words in balanced lines, parted where the sense parts.
"""

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from everyrung.publish.captions.format import ARROW, MOST_LINES, MOST_SHIFT_MS, MOST_SIGNS, MOST_WPM, Caption, needed_ms
from everyrung.terms.errors import plain_text
from everyrung.terms.timeline import CueTrack, SaidCue
from everyrung.terms.units import clock_text

_JOINTS = ("-", "/", "\u2010", "\u2013", "\u2014")
_STOPS = (".", "!", "?", ";", ":", "…")
_STOP_WORTH = 400  # chosen, because a text parted at a full stop may then be 20 signs off balance
_COMMA_WORTH = 150  # chosen, because a comma is a weaker reason: 12 signs
_ONE_MORE = 100_000  # chosen, because it is more than any balance: as few captions as the words need


def plain_words(text: str) -> list[str]:
    """The words of a text, none longer than a line; control signs go, and the arrow of times becomes one sign."""
    one_space = "".join(" " if sign.isspace() else sign for sign in text)
    visible = "".join(sign for sign in one_space if unicodedata.category(sign) not in ("Cc", "Cs"))
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


def break_lines(words: Sequence[str]) -> tuple[str, ...]:
    """The words on one line or two balanced ones; nothing when they do not fit."""
    if width(words) <= MOST_SIGNS:
        return (" ".join(words),)
    if width(words) > MOST_LINES * MOST_SIGNS + 1:
        return ()
    breaks = [(words[:at], words[at:]) for at in range(1, len(words)) if _may_break(words[:at], words[at:])]
    if not breaks:
        return ()
    top, bottom = min(breaks, key=lambda both: abs(width(both[0]) - width(both[1])) ** 2 - _worth(both[0][-1]))
    return (" ".join(top), " ".join(bottom))


def _may_break(top: Sequence[str], bottom: Sequence[str]) -> bool:
    """A last line of a bare number is taken for the next caption's index by some readers."""
    return max(width(top), width(bottom)) <= MOST_SIGNS and not "".join(bottom).isdigit()


def _worth(word: str) -> int:
    """How good it is to part after a word."""
    if word.endswith(_STOPS):
        return _STOP_WORTH
    return _COMMA_WORTH if word.endswith(",") else 0


def part_cue(words: Sequence[str]) -> list[tuple[str, ...]]:
    """The words in as few texts as fit captions, of like length, parted at stops where there are any."""
    best: list[tuple[int, int]] = [(0, 0)]
    for end in range(1, len(words) + 1):
        options = []
        for begin in range(end - 1, -1, -1):
            if width(words[begin:end]) > MOST_LINES * MOST_SIGNS + 1:
                break
            if break_lines(words[begin:end]):
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


JOIN_MS = 400  # chosen, because a count shown by two is better than its last number a second late, not half a second


@dataclass(frozen=True, slots=True, kw_only=True)
class CaptionsMade:
    """Captions in order of time; `problems` are those that cannot be read in their time, and words left out."""

    captions: tuple[Caption, ...]
    problems: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Piece:
    """Words that go on screen together, and when they are said."""

    at_ms: int
    end_ms: int
    words: tuple[str, ...]

    @property
    def needed_ms(self) -> int:
        return needed_ms(len(self.words))

    @property
    def earliest_ms(self) -> int:
        return max(0, self.at_ms - MOST_SHIFT_MS)

    @property
    def latest_ms(self) -> int:
        return self.at_ms + MOST_SHIFT_MS


@dataclass(frozen=True, slots=True, kw_only=True)
class _Way:
    """One way to show the pieces so far: `ready_ms` is when the next may come.

    `lost_ms` is time on screen that is missing; `cost_ms` is how late captions are, and what joining them costs.
    """

    lost_ms: int
    cost_ms: int
    ready_ms: int
    texts: tuple[_Piece, ...]

    def with_next(self, piece: _Piece, joins: int) -> "_Way":
        begin_ms = max(piece.earliest_ms, self.ready_ms)
        lost_ms = max(0, begin_ms - piece.latest_ms)
        return _Way(
            lost_ms=self.lost_ms + lost_ms,
            cost_ms=self.cost_ms + max(0, begin_ms - lost_ms - piece.at_ms) + joins * JOIN_MS,
            ready_ms=begin_ms - lost_ms + piece.needed_ms,
            texts=(*self.texts, piece),
        )


def captions(track: CueTrack) -> CaptionsMade:
    """The captions of all that is said on one track."""
    pieces: list[_Piece] = []
    problems: list[str] = []
    for cue in track.said:
        parts = _pieces(cue, pieces[-1].at_ms + 1 if pieces else 0)
        pieces.extend(parts)
        if not parts:
            problems.append(
                f"{clock_text(cue.at_ms)} {plain_text(cue.text)}: expected words that can be shown; got none."
            )
    texts = _fewest_joins(pieces)
    with_times = _set_times(texts)
    return CaptionsMade(captions=with_times, problems=(*problems, *filter(None, map(_too_short, with_times))))


def _pieces(cue: SaidCue, least_ms: int) -> list[_Piece]:
    """The cue's words in texts that fit a caption, each said for its part of the cue's time; starts never coincide."""
    texts = part_cue(plain_words(cue.text))
    signs, of = 0, sum(width(text) + 1 for text in texts)
    pieces: list[_Piece] = []
    for text in texts:
        at_ms = max(least_ms, cue.at_ms + (cue.end_ms - cue.at_ms) * signs // of)
        signs += width(text) + 1
        end_ms = max(at_ms + 1, cue.at_ms + (cue.end_ms - cue.at_ms) * signs // of)
        pieces.append(_Piece(at_ms=at_ms, end_ms=end_ms, words=text))
        least_ms = at_ms + 1
    return pieces


def _fewest_joins(pieces: list[_Piece]) -> tuple[_Piece, ...]:
    """The pieces as they are where each can be read, joined with neighbours where that helps."""
    ways: list[list[_Way]] = [[_Way(lost_ms=0, cost_ms=0, ready_ms=0, texts=())]]
    for end in range(1, len(pieces) + 1):
        more: list[_Way] = []
        for begin in range(end - 1, -1, -1):
            if (text := _join(pieces[begin:end])) is None:
                break
            more += [way.with_next(text, end - begin - 1) for way in ways[begin]]
        ways.append(_not_beaten(more))
    return ways[-1][0].texts


def _join(pieces: list[_Piece]) -> _Piece | None:
    """Neighbours as one piece; None when they do not fit one caption or the silence between any two is too long."""
    words = tuple(word for piece in pieces for word in piece.words)
    if any(after.at_ms - before.end_ms > MOST_SHIFT_MS for before, after in pairwise(pieces)) or not break_lines(words):
        return None
    return _Piece(at_ms=pieces[0].at_ms, end_ms=pieces[-1].end_ms, words=words)


def _not_beaten(ways: list[_Way]) -> list[_Way]:
    """Best first, without those that another way beats in every respect."""
    result: list[_Way] = []
    for way in sorted(ways, key=lambda each: (each.lost_ms, each.cost_ms, each.ready_ms)):
        if not result or way.ready_ms < min(each.ready_ms for each in result):
            result.append(way)
    return result


def _set_times(pieces: tuple[_Piece, ...]) -> tuple[Caption, ...]:
    """On time where there is room, else rather early than late, and on screen while the words last."""
    begins_ms, room_ms = _earliest(pieces)
    wanted_ms = [piece.at_ms for piece in pieces]
    for at in range(len(pieces) - 2, -1, -1):
        wanted_ms[at] = min(wanted_ms[at], wanted_ms[at + 1] - room_ms[at])
    for at, wish_ms in enumerate(wanted_ms):
        free_ms = begins_ms[at - 1] + room_ms[at - 1] if at else 0
        begins_ms[at] = max(wish_ms, free_ms, begins_ms[at])
    result = []
    for piece, at_ms, least_ms, next_ms in zip(pieces, begins_ms, room_ms, [*begins_ms[1:], None], strict=True):
        end_ms = max(piece.end_ms, at_ms + least_ms)
        end_ms = end_ms if next_ms is None else min(end_ms, next_ms)
        result.append(Caption(at_ms=at_ms, end_ms=end_ms, lines=break_lines(piece.words)))
    return tuple(result)


def _earliest(pieces: tuple[_Piece, ...]) -> tuple[list[int], list[int]]:
    """The earliest start of each, and its time on screen: less than it needs where the next cannot wait."""
    begins_ms: list[int] = []
    room_ms = [piece.needed_ms for piece in pieces]
    for at, piece in enumerate(pieces):
        free_ms = begins_ms[-1] + room_ms[at - 1] if at else 0
        begins_ms.append(min(max(piece.earliest_ms, free_ms), piece.latest_ms))
        if at and free_ms > begins_ms[-1]:
            room_ms[at - 1] = begins_ms[-1] - begins_ms[-2]
    return begins_ms, room_ms


def _too_short(caption: Caption) -> str:
    shown_ms = caption.end_ms - caption.at_ms
    if shown_ms >= caption.needed_ms:
        return ""
    return (
        f"{clock_text(caption.at_ms)} {plain_text(' '.join(caption.lines))}: "
        f"expected at least {caption.needed_ms / 1000:g} s on screen ({caption.words} words at {MOST_WPM} a minute), "
        f"got {shown_ms / 1000:g} s. "
        f"Say less here, or leave {(caption.needed_ms - shown_ms) / 1000:g} s more before the next cue."
    )
