"""Placing the cues of a few sequences, each in its own order and one after another, exactly: by what the time that is
left can be worth at most, however far each sequence has got (dynamic programming).

A pause in which two or three waves are told what comes next has thirty cues with one window and room for half of them:
a search by constraints cannot prove its best there in seconds; the sums over how far each has got are some hundred.
"""

from collections.abc import Sequence
from itertools import groupby, pairwise
from math import prod
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

TENTHS_A_POINT = (
    10  # of a second away from its best moment cost one point of worth; chosen, to order equals and no more
)
STATES_MOST = 20_000  # chosen, because these take about a second
Steps = NDArray[np.int64]  # by step from the beginning of a run
NEVER = -(1 << 40)  # less than any worth


class Row(NamedTuple):
    """A cue as it is placed, in steps from the beginning of its run; bout and sequence by number, -1 for none."""

    low: int
    high: int
    size: int
    best: int
    worth: int
    words: int
    is_point: bool
    bout: int
    sequence: int
    place: int
    completes: bool


class _Way(NamedTuple):
    """How far a sequence has got, and whether its next cue may be said: not without the one that it completes."""

    reach: int
    is_open: bool


Ways = tuple[_Way, ...]


def can_merge(rows: Sequence[Row]) -> bool:
    """Whether nothing but order and time ties these cues together, and the sequences are few enough."""
    return all(row.bout < 0 for row in rows) and prod(2 * len(chain) + 1 for chain in _chains(rows)) <= STATES_MOST


def merge(rows: Sequence[Row]) -> tuple[tuple[int | None, ...], int]:
    """Each cue's start, None where it is left out, in steps; and what that is worth, which nothing exceeds."""
    still = _Sums(rows)
    at, ways, starts = 0, tuple(_Way(0, True) for _ in still.chains), dict[int, int]()
    value = int(still.to_go(ways)[0])
    while openings := still.openings(ways):
        most = still.to_go(ways)[at]
        for k, number in openings:
            worth = still.by_start(ways, k, number)[at:]
            if worth.max() == most:
                starts[number] = at + int(worth.argmax())
                at, ways = starts[number] + rows[number].size, still.after(ways, k, aloud=True)
                break
        else:
            others = (still.after(ways, k, aloud=False) for k, _ in openings)
            ways = next(other for other in others if still.to_go(other)[at] == most)
    return tuple(starts.get(number) for number in range(len(rows))), value


class _Sums:
    """What can still be had, by how far each sequence has got and from when on nobody speaks."""

    def __init__(self, rows: Sequence[Row]) -> None:
        self.rows, self.chains = rows, _chains(rows)
        self.completing = {
            second
            for chain in self.chains
            for first, second in pairwise(chain)
            if rows[second].completes and rows[second].place == rows[first].place + 1
        }
        self.steps = np.arange(max(row.high + row.size for row in rows) + 1)
        self.sums: dict[Ways, Steps] = {}

    def openings(self, ways: Ways) -> list[tuple[int, int]]:
        """The sequences whose turn it may be, and the number of the next cue. One that has begun is told to its end, or
        a wave would hear its own words between those of another.
        """
        left = [chain[way.reach :] for chain, way in zip(self.chains, ways, strict=True)]
        midway = [0 < len(numbers) < len(chain) for numbers, chain in zip(left, self.chains, strict=True)]
        return [
            (k, numbers[0])
            for k, numbers in enumerate(left)
            if numbers and (midway[k] or self.rows[numbers[0]].sequence < 0 or not any(midway))
        ]

    def after(self, ways: Ways, k: int, *, aloud: bool) -> Ways:
        """The next cue of a sequence is said or left out."""
        reach = ways[k].reach + 1
        is_open = aloud or reach == len(self.chains[k]) or self.chains[k][reach] not in self.completing
        return (*ways[:k], _Way(reach, is_open), *ways[k + 1 :])

    def by_start(self, ways: Ways, k: int, number: int) -> Steps:
        """By when it starts: what this cue and all that can come after it are worth."""
        row, worth = self.rows[number], np.full(len(self.steps), NEVER)
        if ways[k].is_open:
            starts, ends = slice(row.low, row.high + 1), slice(row.low + row.size, row.high + row.size + 1)
            gain = TENTHS_A_POINT * row.worth - np.abs(self.steps[starts] - row.best)
            worth[starts] = gain + self.to_go(self.after(ways, k, aloud=True))[ends]
        return worth

    def to_go(self, ways: Ways) -> Steps:
        """By the step from which nobody speaks: the most that can still be had."""
        if ways not in self.sums:
            best = np.zeros(len(self.steps), dtype=np.int64)
            for k, number in self.openings(ways):
                np.maximum(best, self.to_go(self.after(ways, k, aloud=False)), out=best)
                np.maximum(best, self.by_start(ways, k, number), out=best)
            self.sums[ways] = np.maximum.accumulate(best[::-1])[::-1]  # waiting is free
        return self.sums[ways]


def _chains(rows: Sequence[Row]) -> list[list[int]]:
    """The numbers of the cues of each sequence in their order; a cue of none is one alone."""

    def chain(number: int) -> int:
        return rows[number].sequence if rows[number].sequence >= 0 else -1 - number

    order = sorted(range(len(rows)), key=lambda number: (chain(number), rows[number].place))
    return [list(numbers) for _, numbers in groupby(order, key=chain)]
