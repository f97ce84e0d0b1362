"""The beeps of a session laid on a recording's time: one dynamic programme over groups of beeps."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from everyrung.lookback.beep_filters import KINDS, STEP_MS, Scores
from everyrung.lookback.show import Show
from everyrung.runsheet.beeps import Beep, BeepKind
from everyrung.terms.errors import require

BIN_MS = 20  # chosen: half of the shortest beep, and finer than the 50 ms that tell one repetition's beep from noise
GROUP_MS = 10_000  # chosen: a pause within a group spoils no more than that, and drift within it is a millisecond
CLEAR_MS = 3_500  # a gap after which a new group begins; chosen: longer than what is between two repetitions or counts
USUAL, LEAST, MOST = (
    1.2,
    -0.7,
    2.5,
)  # of ln z: what chance has, and how far one beep may speak; prototyped on other seeds
OFF_BIN, JUMP, LEAVE, ABSENT = 0.4, 14.0, 3.0, 0.15  # nats; prototyped: a bin off, a jump, leaving, each absent beep
NEVER = np.float32(-1e9)

Values = NDArray[np.float32]


@dataclass(frozen=True, slots=True, kw_only=True)
class BeepLine:
    """Beeps in the order in which they sounded: `at_ms` on one clock, `plan_ms` on the plan's, `kinds` places in KINDS.

    Without a log both clocks are the plan's; with one `at_ms` is the wall's, and what was led twice is in it twice.
    """

    at_ms: NDArray[np.int64]
    plan_ms: NDArray[np.int64]
    kinds: NDArray[np.int64]

    def __post_init__(self) -> None:
        require(len(self.at_ms) > 0, "beeps", "at least one", 0)

    def groups(self) -> list[slice]:
        """Beeps that belong closely together."""
        result: list[slice] = []
        first = 0
        for place in range(1, len(self.at_ms)):
            since, gap = self.at_ms[place] - self.at_ms[first], self.at_ms[place] - self.at_ms[place - 1]
            if since > GROUP_MS or gap > CLEAR_MS:
                result.append(slice(first, place))
                first = place
        return [*result, slice(first, len(self.at_ms))]


def planned_line(beeps: Sequence[Beep]) -> BeepLine:
    """The beeps of a plan that nobody paused."""
    return _line((beep.at_ms, beep.at_ms, beep.kind) for beep in beeps)


def led_line(show: Show, beeps: Sequence[Sequence[Beep]]) -> BeepLine:
    """Those that the stage sounded, by its log; `beeps` of each way that the session can go."""
    return _line(
        (part.wall_of(beep.at_ms) - show.start_ms, beep.at_ms, beep.kind)
        for part in show.stretches
        for beep in beeps[part.way]
        if part.at_ms <= beep.at_ms < part.end_ms
    )


def _line(rows: Iterator[tuple[int, int, BeepKind]]) -> BeepLine:
    sounds = list(rows)
    places = {kind: place for place, kind in enumerate(KINDS)}
    return BeepLine(
        at_ms=np.array([row[0] for row in sounds], np.int64),
        plan_ms=np.array([row[1] for row in sounds], np.int64),
        kinds=np.array([places[row[2]] for row in sounds], np.int64),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Placing:
    """Where each group begins in the recording, ms; None where it is not there. `value` in nats."""

    value: float
    starts_ms: tuple[int | None, ...]


def best_values(scores: Scores) -> Values:
    """The best of each BIN_MS, clipped both ways so that no loud note outvotes a set."""
    each = BIN_MS // STEP_MS
    count = scores.shape[1] // each
    best = scores[:, : count * each].reshape(len(KINDS), count, each).max(axis=2).astype(np.float32)
    result: Values = np.clip(best - np.float32(USUAL), np.float32(LEAST), np.float32(MOST))
    return result


def place(values: Values, line: BeepLine) -> Placing:
    """The likeliest way of a line through a recording: in step with its clock, jumps to what is later, absences."""
    groups = line.groups()
    tail = np.zeros((len(KINDS), 2 * GROUP_MS // BIN_MS), np.float32)
    with_tail = np.concatenate([values, tail], axis=1)
    count = values.shape[1]
    firsts = [int(line.at_ms[group.start]) for group in groups]
    present = np.full(count, NEVER)
    absent = np.full(count, NEVER)
    absent[0] = 0.0
    length = 0
    choices = np.zeros((len(groups), count), np.uint8)
    records: list[NDArray[np.uint8]] = []  # bits: where a new highest value is reached
    for number, group in enumerate(groups):
        left = _shift(present, length)  # by when the group before was over
        before = np.maximum(left, absent)
        highest = np.maximum.accumulate(before)
        records.append(np.packbits(np.append(True, highest[1:] > highest[:-1])))
        jump = highest - np.float32(JUMP)
        step = round((firsts[number] - firsts[number - 1]) / BIN_MS) if number else 0
        ways = [jump, *(_shift(present, step + off) - np.float32(OFF_BIN * abs(off)) for off in (-1, 0, 1))]
        choice = np.argmax(ways, axis=0).astype(np.uint8)
        here = _group_score(with_tail, line, group, count)
        leaving = left - np.float32(LEAVE) > absent
        choices[number] = choice | (leaving.astype(np.uint8) << 2) | ((left >= absent).astype(np.uint8) << 3)
        absent = np.maximum(left - np.float32(LEAVE), absent) - np.float32(ABSENT * (group.stop - group.start))
        present = np.choose(choice, ways) + here
        length = max(1, (int(line.at_ms[group.stop - 1]) - firsts[number]) // BIN_MS)
    return _back(present, absent, choices, records, line, groups)


def _shift(values: Values, by: int) -> Values:
    if by <= 0:
        return values
    return np.concatenate([np.full(min(by, len(values)), NEVER), values[: max(0, len(values) - by)]])


def _group_score(with_tail: Values, line: BeepLine, group: slice, count: int) -> Values:
    offsets = np.rint((line.at_ms[group] - line.at_ms[group.start]) / BIN_MS).astype(int)
    result = np.zeros(count, np.float32)
    for kind, offset in zip(line.kinds[group], offsets, strict=True):
        result += with_tail[kind, offset : offset + count]
    return result


def _back(
    present: Values,
    absent: Values,
    choices: NDArray[np.uint8],
    records: list[NDArray[np.uint8]],
    line: BeepLine,
    groups: list[slice],
) -> Placing:
    """From the best end to the beginning."""
    firsts = [int(line.at_ms[group.start]) for group in groups]
    lengths = [max(1, int(line.at_ms[group.stop - 1] - line.at_ms[group.start]) // BIN_MS) for group in groups]
    starts: list[int | None] = [None] * len(groups)
    is_present = bool(present.max() >= absent.max())
    value = float(max(present.max(), absent.max()))
    at = int(np.argmax(present if is_present else absent))
    for number in range(len(groups) - 1, -1, -1):
        choice = int(choices[number, at])
        if is_present:
            starts[number] = at * BIN_MS
            way = choice & 3
            if way:  # in step
                at -= round((firsts[number] - firsts[number - 1]) / BIN_MS) + way - 2
                continue
            at = int(np.flatnonzero(np.unpackbits(records[number], count=at + 1))[-1])
            is_present = bool(choices[number, at] & 8)
            at -= lengths[number - 1] if is_present else 0
        elif choice & 4:
            is_present = True
            at -= lengths[number - 1]
    return Placing(value=value, starts_ms=tuple(starts))
