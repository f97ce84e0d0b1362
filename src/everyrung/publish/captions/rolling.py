"""Rolling captions: each line is shown twice, below and then above. Every line once, true repetition kept.

A count said twice is a count of two, so a line goes only where the picture proves that it still stood there.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from everyrung.publish.problem import Problem

FLASH_MS = 50  # chosen, because speech services write 10 ms and nobody reads in a twentieth of a second


@dataclass(frozen=True, slots=True, kw_only=True)
class Cue:
    """A cue in plain words; `inner_times` says that single words are timed, as rolling captions do."""

    line: int
    at_ms: int
    end_ms: int
    lines: tuple[str, ...]
    inner_times: bool


def unrolled(cues: Sequence[Cue]) -> tuple[tuple[Cue, ...], tuple[Problem, ...]]:
    """The cues with every line once; as they were where nothing rolls."""
    if not _rolls(cues):
        return tuple(cues), ()
    kept: list[Cue] = []
    first, repeated = 0, 0
    for before, cue in zip([None, *cues], cues, strict=False):
        still = 0 if before is None else _standing(before, cue)
        if before is not None and _is_echo(before, cue):
            still = len(cue.lines)
        first = first or (cue.line if still else 0)
        repeated += still
        if still < len(cue.lines) or not cue.lines:
            kept.append(_without(cue, still))
    return tuple(kept), (_rolling(first, repeated),)


def _rolls(cues: Sequence[Cue]) -> bool:
    """Echoes prove it; lines that stand only where single words are timed too."""
    timed = any(cue.inner_times for cue in cues)
    return any(_is_echo(before, after) or (timed and _standing(before, after)) for before, after in pairwise(cues))


def _is_echo(before: Cue, after: Cue) -> bool:
    """A flash that only repeats what stood there: the moment in which the lines move up."""
    flash = 0 < after.end_ms - after.at_ms <= FLASH_MS and bool(after.lines)
    return flash and _follows(before, after) and before.lines[-len(after.lines) :] == after.lines


def _standing(before: Cue, after: Cue) -> int:
    """How many lines at the top of `after` stood at the bottom of `before`; its last line always is a new one."""
    if not _follows(before, after):
        return 0
    most = min(len(before.lines), len(after.lines) - 1)
    return next((count for count in range(most, 0, -1) if before.lines[-count:] == after.lines[:count]), 0)


def _follows(before: Cue, after: Cue) -> bool:
    """One picture follows the other without a pause."""
    return abs(after.at_ms - before.end_ms) <= FLASH_MS


def _without(cue: Cue, count: int) -> Cue:
    lines = cue.lines[count:]
    return Cue(line=cue.line, at_ms=cue.at_ms, end_ms=cue.end_ms, lines=lines, inner_times=cue.inner_times)


def _rolling(line: int, repeated: int) -> Problem:
    return Problem(
        line=line,
        what="rolling captions",
        expected="each line in one cue",
        got=f"{repeated} line{'s' if repeated > 1 else ''} shown again as the text moved up",
        repaired=True,
        remedy="Each is kept once; words that were said twice are kept twice.",
    )
