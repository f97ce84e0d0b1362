"""Rules for captions from elsewhere: what can be repaired is, what cannot be is told with its place."""

from bisect import bisect_right
from collections.abc import Iterator, Sequence

from everyrung.publish.captions.format import LEAST_MS, MOST_LINES, MOST_SIGNS, MOST_WPM, Caption, stamp
from everyrung.publish.captions.rolling import Cue
from everyrung.publish.problem import Problem

Placed = tuple[int, Caption]


def with_words(cues: Sequence[Cue]) -> tuple[list[Cue], list[Problem]]:
    """The cues without empty ones, and a problem for each of those."""
    empty = [cue for cue in cues if not cue.lines]
    return [cue for cue in cues if cue.lines], [_empty(cue.line, cue.at_ms) for cue in empty]


def with_lengths(cues: Sequence[Cue]) -> tuple[list[Placed], list[Problem]]:
    """Captions with their lines; an end not after the start becomes the least time, up to the next cue."""
    starts_ms = sorted(cue.at_ms for cue in cues)
    placed: list[Placed] = []
    problems: list[Problem] = []
    for cue in cues:
        end_ms = cue.end_ms
        if end_ms <= cue.at_ms:
            after = bisect_right(starts_ms, cue.at_ms)
            next_ms = starts_ms[after : after + 1]
            end_ms = min([cue.at_ms + LEAST_MS, *next_ms])
            problems.append(_backwards(cue, end_ms))
        placed.append((cue.line, Caption(at_ms=cue.at_ms, end_ms=end_ms, lines=cue.lines)))
    return placed, problems


def broken_rules(placed: Sequence[Placed]) -> Iterator[Problem]:
    """Lines, width, time to read and order, one caption after the other; nothing is changed."""
    for at, (line, caption) in enumerate(placed):
        yield from _size(line, caption)
        yield from _pace(line, caption)
        if at:
            yield from _order(line, placed[at - 1][1], caption)


def _size(line: int, caption: Caption) -> Iterator[Problem]:
    if len(caption.lines) > MOST_LINES:
        got = f"{len(caption.lines)} lines"
        yield _unread(line, "lines", f"at most {MOST_LINES} lines", got, "Part it into two captions.")
    widest = max(caption.lines, key=len)
    if len(widest) > MOST_SIGNS:
        got = f"{len(widest)}: {widest}"
        yield _unread(line, "width", f"at most {MOST_SIGNS} signs a line", got, "Break the line, or part the caption.")


def _pace(line: int, caption: Caption) -> Iterator[Problem]:
    """Too short for anyone, or too fast for its words."""
    shown_ms = caption.end_ms - caption.at_ms
    if shown_ms < LEAST_MS:
        remedy = "Let it stay until the next one, or join it with a neighbour."
        yield _unread(line, "time on screen", f"at least {LEAST_MS / 1000:g} s", f"{shown_ms / 1000:g} s", remedy)
    wpm = caption.words * 60_000 / shown_ms
    if wpm > MOST_WPM:
        remedy = f"Let it stay for {caption.needed_ms / 1000:g} s, or say less."
        yield _unread(line, "pace", f"at most {MOST_WPM} words a minute", f"{wpm:.0f} words a minute", remedy)


def _order(line: int, before: Caption, caption: Caption) -> Iterator[Problem]:
    at, earlier = stamp(caption.at_ms, "."), stamp(before.at_ms, ".")
    if caption.at_ms < before.at_ms:
        yield _unread(line, "order", f"a start at {earlier} or later", at, "Put the captions in order of time.")
    elif caption.at_ms < before.end_ms:
        remedy = f"End the one before at {at}, or begin this one later."
        yield _unread(line, "overlap", f"a start at {stamp(before.end_ms, '.')} or later", at, remedy)


def _unread(line: int, what: str, expected: str, got: str, remedy: str) -> Problem:
    return Problem(line=line, what=what, expected=expected, got=got, repaired=False, remedy=remedy)


def _empty(line: int, at_ms: int) -> Problem:
    return Problem(
        line=line,
        what="empty cue",
        expected="words",
        got=f"none at {stamp(at_ms, '.')}",
        repaired=True,
        remedy="Left out.",
    )


def _backwards(cue: Cue, end_ms: int) -> Problem:
    return Problem(
        line=cue.line,
        what="end not after start",
        expected=f"an end after {stamp(cue.at_ms, '.')}",
        got=stamp(cue.end_ms, "."),
        repaired=True,
        remedy=f"Read as ending at {stamp(end_ms, '.')}.",
    )
