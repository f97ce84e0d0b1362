"""Which sets were led, and when, from words alone: the likeliest way through everything that may begin a set.

Each place where a move's name or "other side" is said may begin a set, or be said in passing. A semi-Markov programme
over these places weighs how well the name is heard, how long sets take and which move is wont to come after which; that
custom is learned from the session itself, pass by pass, for rounds come again (Rabiner 1989, Proc IEEE 77:257).
All prices are chosen, on made transcripts other than those that docs/looking-back.md measures.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import log

import numpy as np
from numpy.typing import NDArray

from everyrung.lookback.counts import gives_dose
from everyrung.lookback.hits import Hit
from everyrung.lookback.library_words import LibraryWords
from everyrung.lookback.onsets import NEXT, NOT_NEXT, OFFERED, SAID_WITHIN, UNLIKE
from everyrung.lookback.transcript import Transcript
from everyrung.lookback.vocabulary import Role
from everyrung.terms.enums import MoveKind

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
SHORTEST_S, LONGEST_S = 12, 400  # of a set with its talk
SET_S, SPREAD = 58.0, 0.42  # a set's usual length and its spread as a part of it
TALK_S = 60.0  # mean of what is longer: talk, or sets of which nobody says a word
TALK_PART = 0.08
PASSING_S = (1500.0, 8000.0)  # seconds in which a name of one word, and of more, is said once in passing
SWITCH_S = 500.0  # and words for the other side
DOSED = 1.5  # after a name comes how many or how long: so a set is announced
BOTH_SIDES = log(0.85)  # and one whose other side is
AGAIN_SIDE = log(0.02)  # a side that is done once more
NO_COUNT_IN = -1.2  # a set without a count-in, where the leader counts in
COUNTS_IN_S = 150  # a leader counts in who does so once in this many seconds
PASSES = 3  # after the third nothing changes any more
CUSTOM = 2.0  # times that a move has to follow another before that counts for half
AT_FIRST = 0.3  # of a hit to a move that is heard nowhere else
WELCOME_S = 60.0  # mean of what is said before the first set, and of the last one
OPENING = 1e-4  # of a first set: no move is likelier than another
ODD_TIME = -2.5  # a kind of move that belongs elsewhere in a session
NEVER = -1e9
NEAR_S = 10  # a set counts as likely as it is to begin within this


@dataclass(frozen=True, slots=True, kw_only=True)
class HeardSet:
    """One set, or one side of one (`part` 1 for the second). `move` counts the library's; `hit` is what announced it;
    `chance` that this move begins there, of the model.
    """

    move: int
    part: int
    at_ms: int
    end_ms: int
    chance: float
    hit: Hit


@dataclass(frozen=True, slots=True, kw_only=True)
class _Starts:
    """What may begin a set, by time: seconds, moves, sides, nats, and the hit of each."""

    at_s: Floats
    move: Ints
    part: Ints
    value: Floats
    hits: tuple[Hit, ...]
    count_ins: Floats

    @property
    def counts_in(self) -> bool:
        return len(self.count_ins) * COUNTS_IN_S >= (self.at_s[-1] if len(self.at_s) else 0)


def heard_sets(hits: Sequence[Hit], words: LibraryWords, transcript: Transcript) -> tuple[HeardSet, ...]:
    """The likeliest sets in order of time; () where no move is named."""
    total_ms = transcript.total_ms
    starts = _starts(hits, words, transcript)
    if not len(starts.at_s):
        return ()
    custom = _first_custom(starts, len(words.moves))
    path, chances = [0], np.zeros(len(starts.at_s))
    for _ in range(PASSES):
        lattice = _lattice(starts, custom)
        path, chances = _best(starts, lattice, total_ms / 1000)
        custom = _custom(starts, path, chances, len(words.moves))
    ends = [*(round(starts.at_s[at] * 1000) for at in path[1:]), total_ms]
    return tuple(
        HeardSet(
            move=int(starts.move[at]),
            part=int(starts.part[at]),
            at_ms=starts.hits[at].at_ms,
            end_ms=end_ms,
            chance=_near(starts, chances, at),
            hit=starts.hits[at],
        )
        for at, end_ms in zip(path, ends, strict=True)
    )


def _near(starts: _Starts, chances: Floats, at: int) -> float:
    alike = (starts.move == starts.move[at]) & (starts.part == starts.part[at])
    alike &= np.abs(starts.at_s - starts.at_s[at]) <= NEAR_S
    return float(min(1.0, chances[alike].sum()))


def _starts(hits: Sequence[Hit], words: LibraryWords, transcript: Transcript) -> _Starts:
    total_s = transcript.total_ms / 1000
    names = [hit for hit in hits if hit.phrase.role is Role.NAME]
    parts = {place: words.with_sides(place) for hit in names for place, _ in hit.phrase.sets}
    two_sided = {place: log(part) for place, part in sorted(parts.items()) if part}
    rows: list[tuple[float, int, int, float, Hit]] = []
    for hit in hits:
        if hit.phrase.role is Role.NAME:
            passing_s = PASSING_S[len(hit.phrase.words) > 1]
            value = log(SAID_WITHIN * passing_s) + (NEXT if hit.is_next else NOT_NEXT) + _worth(hit)
            value += DOSED if gives_dose(transcript.words[hit.end :]) else 0.0
            for place, nats in hit.phrase.sets:
                usual = _usual_time(words.moves[place].kind, hit.at_ms / 1000 / total_s)
                rows.append((hit.at_ms / 1000, place, 0, value + nats + usual, hit))
        if hit.phrase.role is Role.AGAIN:
            value = log(SAID_WITHIN * SWITCH_S) + _worth(hit)
            rows += [(hit.at_ms / 1000, place, 1, value + nats, hit) for place, nats in two_sided.items()]
    rows.sort(key=lambda row: row[0])
    return _Starts(
        at_s=np.array([row[0] for row in rows]),
        move=np.array([row[1] for row in rows], dtype=np.int64),
        part=np.array([row[2] for row in rows], dtype=np.int64),
        value=np.array([row[3] for row in rows]),
        hits=tuple(row[4] for row in rows),
        count_ins=np.array([hit.at_ms / 1000 for hit in hits if hit.phrase.role is Role.COUNT]),
    )


def _usual_time(kind: MoveKind, share: float) -> float:
    """Less for a stretch before the last third of a session, and for a warm-up's move after its first."""
    is_odd = (kind is MoveKind.COOL_DOWN and share < 2 / 3) or (kind is MoveKind.WARM_UP and share > 1 / 3)
    return ODD_TIME if is_odd else 0.0


def _worth(hit: Hit) -> float:
    return (OFFERED if hit.is_offer else 0.0) - UNLIKE * (1 - hit.likeness)


def _first_custom(starts: _Starts, moves: int) -> Floats:
    """Nats of each move after any: by how clearly it is heard over the whole session."""
    weight = np.full(moves, AT_FIRST)
    names = starts.part == 0
    np.add.at(
        weight, starts.move[names], np.exp(np.minimum(starts.value[names] - log(SAID_WITHIN * PASSING_S[0]), 1.0))
    )
    return np.tile(np.log(weight / weight.sum()), (moves, 1))


def _custom(starts: _Starts, path: Sequence[int], chances: Floats, moves: int) -> Floats:
    """Nats of a move after a move, as this session has them."""
    names = starts.part == 0
    weight = np.full(moves, AT_FIRST / 10)
    np.add.at(weight, starts.move[names], chances[names])
    weight /= weight.sum()
    moves_led = [at for at in path if starts.part[at] == 0]
    follows = np.zeros((moves, moves))
    for here, there in pairwise(moves_led):
        follows[starts.move[here], starts.move[there]] += chances[there]
    times = follows.sum(axis=1, keepdims=True)
    weight_of_custom = times / (times + CUSTOM)
    share = follows / np.maximum(times, 1e-9)
    result: Floats = np.log(weight_of_custom * share + (1 - weight_of_custom) * weight)
    return result


Lattice = list[tuple[Ints, Floats]]


def _lattice(starts: _Starts, custom: Floats) -> Lattice:
    """For each place, those that may come before it, with the nats of going on from them."""
    result: Lattice = []
    for at, second in enumerate(starts.at_s):
        first = int(np.searchsorted(starts.at_s, second - LONGEST_S))
        last = int(np.searchsorted(starts.at_s, second - SHORTEST_S, side="right"))
        before = np.arange(first, last)
        result.append((before, _onward(starts, before, at, custom)))
    return result


def _onward(starts: _Starts, before: Ints, at: int, custom: Floats) -> Floats:
    same = starts.move[before] == starts.move[at]
    if starts.part[at]:
        price = np.where(same, np.where(starts.part[before] == 0, BOTH_SIDES, AGAIN_SIDE), NEVER)
    else:
        price = custom[starts.move[before], starts.move[at]]
    nats: Floats = price + _length(starts.at_s[at] - starts.at_s[before]) + starts.value[at]
    return nats + _count_in_nats(starts, starts.at_s[before], starts.at_s[at])


def _length(length: Floats) -> Floats:
    """Nats of a set's length in s."""
    length = np.maximum(length, 1e-3)
    usual = np.exp(-0.5 * (np.log(length / SET_S) / SPREAD) ** 2) / (length * SPREAD * np.sqrt(2 * np.pi))
    talk = np.where(length > SET_S, np.exp(-(length - SET_S) / TALK_S) / TALK_S, 1e-5)
    nats: Floats = np.log((1 - TALK_PART) * usual + TALK_PART * talk)
    return nats


def _count_in_nats(starts: _Starts, begins: Floats, end: float) -> Floats:
    """Less for a set in which nobody counts in, but not before the first count-in: a warm-up often has none."""
    if not starts.counts_in or not len(starts.count_ins) or end <= starts.count_ins[0]:
        return np.zeros(len(begins))
    first, last = np.searchsorted(starts.count_ins, begins), np.searchsorted(starts.count_ins, end)
    return np.where(first < last, 0.0, NO_COUNT_IN)


def _best(starts: _Starts, lattice: Lattice, total_s: float) -> tuple[list[int], Floats]:
    """The best way, and the chance of each place to begin a set over all ways."""
    count = len(lattice)
    opening = np.where(starts.part == 0, starts.value + log(OPENING) - starts.at_s / WELCOME_S, NEVER)
    best, forward, came = opening.copy(), opening.copy(), np.full(count, -1)
    for at, (before, nats) in enumerate(lattice):
        if len(before):
            through = best[before] + nats
            if through.max() > best[at]:
                best[at], came[at] = through.max(), before[through.argmax()]
            forward[at] = np.logaddexp(forward[at], np.logaddexp.reduce(forward[before] + nats))
    ends = -(total_s - starts.at_s) / WELCOME_S
    backward = ends.copy()
    for at in range(count - 1, -1, -1):
        before, nats = lattice[at]
        backward[before] = np.logaddexp(backward[before], nats + backward[at])
    chances: Floats = np.exp(np.minimum(forward + backward - np.logaddexp.reduce(forward + ends), 0.0))
    path = [int((best + ends).argmax())]
    while came[path[-1]] >= 0:
        path.append(int(came[path[-1]]))
    return path[::-1], chances
