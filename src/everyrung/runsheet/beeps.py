"""From a timeline to its beeps: whole ms, in order, no two at once."""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from everyrung.terms.enums import SpanKind
from everyrung.terms.errors import require
from everyrung.terms.session import Bout
from everyrung.terms.timeline import Span, Timeline

SECOND_MS = 1_000
COUNT_IN_MS = 3_000  # as tables/clock.csv: three counts before the first repetition, a second each
LAST_COUNT = 3  # chosen, because the end is counted down as the start is
HOLD_TICK_MS = 10_000  # chosen, because ten seconds are long enough to relax into and short enough to count
CLEAR_MS = 500  # chosen, because a count is heard as one only after the longest beep (400 ms) has died away


class BeepKind(StrEnum):
    """What a beep says; where two would fall on the same ms, the one that stands first here is beeped."""

    GO = "go"  # a bout starts, and with it its first repetition
    CHANGE = "change"  # a side switch starts, and so the bout before it is over
    END = "end"
    COUNT_IN = "count-in"
    LAST = "last"  # the last seconds of a hold or of a bout that is led by time
    REP = "rep"  # a further repetition starts; in a hold, ten more seconds are done


@dataclass(frozen=True, slots=True, kw_only=True)
class Beep:
    """One signal; `at_ms` is its onset."""

    at_ms: int
    kind: BeepKind

    def __post_init__(self) -> None:
        require(self.at_ms >= 0, "at_ms", "0 ms or more", self.at_ms)


_PRECEDENCE = {kind: rank for rank, kind in enumerate(BeepKind)}


def beeps(timeline: Timeline, *, count_in_ms: int = COUNT_IN_MS) -> tuple[Beep, ...]:
    """Every beep of a session; `count_in_ms` is what the session's clock plans for the count-in.

    GO starts a bout and REP each further repetition, so that a counted bout has as many of the two together as it has
    repetitions; near the end of a bout led by time a LAST may stand where a REP would. Before the first bout, after
    another and in a side switch, only as many counts are beeped as fit clear of what sounded before.
    """
    kinds: dict[int, BeepKind] = {}
    for beep in _all(timeline, count_in_ms):
        other = kinds.get(beep.at_ms, beep.kind)
        kinds[beep.at_ms] = min(beep.kind, other, key=_PRECEDENCE.__getitem__)
    return tuple(Beep(at_ms=at_ms, kind=kinds[at_ms]) for at_ms in sorted(kinds))


def _all(timeline: Timeline, count_in_ms: int) -> Iterator[Beep]:
    clear_ms = 0  # from here on a count can be told from what sounded before
    for span in timeline.spans:
        if span.kind is SpanKind.SWITCH:
            yield Beep(at_ms=span.at_ms, kind=BeepKind.CHANGE)
            clear_ms = span.at_ms + CLEAR_MS
        elif span.kind is SpanKind.WORK and span.bout is not None:
            yield from _countdown(span.at_ms, count_in_ms // SECOND_MS, clear_ms, BeepKind.COUNT_IN)
            yield from _work(span, span.bout)
            clear_ms = span.end_ms + CLEAR_MS


def _work(span: Span, bout: Bout) -> Iterator[Beep]:
    yield Beep(at_ms=span.at_ms, kind=BeepKind.GO)
    yield Beep(at_ms=span.end_ms, kind=BeepKind.END)
    for at_ms in _ticks_ms(span, bout):
        yield Beep(at_ms=at_ms, kind=BeepKind.REP)
    if bout.reps == 0 or _by_time(span):
        yield from _countdown(span.end_ms, LAST_COUNT, span.at_ms + CLEAR_MS, BeepKind.LAST)


def _ticks_ms(span: Span, bout: Bout) -> range:
    """Where repetitions after the first start; in a hold every ten seconds within it."""
    if bout.reps == 0:
        return range(span.at_ms + HOLD_TICK_MS, span.end_ms, HOLD_TICK_MS)
    return range(span.at_ms + bout.rep_ms, span.at_ms + bout.reps * bout.rep_ms, bout.rep_ms)


def _by_time(span: Span) -> bool:
    return span.cell is not None and span.cell.dose.duration_ms is not None


def _countdown(end_ms: int, count: int, clear_ms: int, kind: BeepKind) -> Iterator[Beep]:
    """Full seconds before `end_ms`, at most `count`, none before `clear_ms`."""
    for seconds in range(1, count + 1):
        if (at_ms := end_ms - seconds * SECOND_MS) >= clear_ms:
            yield Beep(at_ms=at_ms, kind=kind)
