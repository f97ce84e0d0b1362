"""From a timeline to its beeps: whole ms, in order, no two at once."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from itertools import product

from everyrung.terms.enums import SpanKind
from everyrung.terms.errors import require
from everyrung.terms.plan import Ref
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
    COUNT_IN_THIRD = "count-in, third"
    COUNT_IN_FOURTH = "count-in, fourth"
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


COUNT_INS = (BeepKind.COUNT_IN, BeepKind.COUNT_IN_THIRD, BeepKind.COUNT_IN_FOURTH)
Tune = tuple[BeepKind, ...]  # the last counts before a set, in order
TUNES: tuple[Tune, ...] = tuple(product(COUNT_INS, repeat=3))
NEAR_SETS = 2  # chosen: a skip most often leads so far
ALIKE = (100.0, 10.0, 0.0, 0.0)  # what it costs that two tunes differ at 0, 1, 2, 3 places, for sets easily taken for
APART = (1.0, 0.1, 0.0, 0.0)  # one another, and for others; chosen, because the first kind must not be sacrificed
Tunes = Mapping[tuple[Ref, int], Tune]  # by cell and the place of the side in it


def tunes(timeline: Timeline) -> Tunes:
    """For each set of a session the tune of its count-in, by which a recording says which set it is.

    Three pitches make 27. Sets that follow on one another, and sets of the same dose, differ at two places
    wherever that can be.
    """
    work = [span for span in timeline.spans if span.kind is SpanKind.WORK]
    result: dict[tuple[Ref, int], Tune] = {}
    for place, span in enumerate(work):
        before = [
            (_name(other), _is_like(span, other) or place - at <= NEAR_SETS) for at, other in enumerate(work[:place])
        ]
        costs = {tune: sum(_cost(tune, result[name], is_like) for name, is_like in before) for tune in TUNES}
        result[_name(span)] = min(TUNES, key=costs.__getitem__)
    return result


def _name(span: Span) -> tuple[Ref, int]:
    assert span.cell is not None
    assert span.bout is not None
    return span.cell.ref, span.cell.bouts.index(span.bout)


def _is_like(span: Span, other: Span) -> bool:
    doses = [(each.bout.reps, each.duration_ms) for each in (span, other) if each.bout]
    return doses[0] == doses[1]


def _cost(tune: Tune, other: Tune, is_like: bool) -> float:
    return (ALIKE if is_like else APART)[sum(one is not two for one, two in zip(tune, other, strict=True))]


def beeps(timeline: Timeline, *, count_in_ms: int = COUNT_IN_MS, by: Tunes | None = None) -> tuple[Beep, ...]:
    """Every beep of a session; `count_in_ms` is what the session's clock plans for the count-in, `by` the tunes of the
    whole session where the timeline is what a cut leaves of it.

    GO starts a bout and REP each further repetition, so that a counted bout has as many of the two together as it has
    repetitions; near the end of a bout led by time a LAST may stand where a REP would. Before the first bout, after
    another and in a side switch, only as many counts are beeped as fit clear of what sounded before.
    """
    kinds: dict[int, BeepKind] = {}
    for beep in _all(timeline, count_in_ms, tunes(timeline) if by is None else by):
        other = kinds.get(beep.at_ms, beep.kind)
        kinds[beep.at_ms] = min(beep.kind, other, key=_PRECEDENCE.__getitem__)
    return tuple(Beep(at_ms=at_ms, kind=kinds[at_ms]) for at_ms in sorted(kinds))


def _all(timeline: Timeline, count_in_ms: int, by: Tunes) -> Iterator[Beep]:
    clear_ms = 0  # from here on a count can be told from what sounded before
    for span in timeline.spans:
        if span.kind is SpanKind.SWITCH:
            yield Beep(at_ms=span.at_ms, kind=BeepKind.CHANGE)
            clear_ms = span.at_ms + CLEAR_MS
        elif span.kind is SpanKind.WORK and span.bout is not None:
            tune = (COUNT_INS[0],) * (count_in_ms // SECOND_MS) + by[_name(span)]
            yield from _countdown(span.at_ms, tune[len(tune) - count_in_ms // SECOND_MS :], clear_ms)
            yield from _work(span, span.bout)
            clear_ms = span.end_ms + CLEAR_MS


def _work(span: Span, bout: Bout) -> Iterator[Beep]:
    yield Beep(at_ms=span.at_ms, kind=BeepKind.GO)
    yield Beep(at_ms=span.end_ms, kind=BeepKind.END)
    for at_ms in _ticks_ms(span, bout):
        yield Beep(at_ms=at_ms, kind=BeepKind.REP)
    if bout.reps == 0 or _by_time(span):
        yield from _countdown(span.end_ms, (BeepKind.LAST,) * LAST_COUNT, span.at_ms + CLEAR_MS)


def _ticks_ms(span: Span, bout: Bout) -> range:
    """Where repetitions after the first start; in a hold every ten seconds within it."""
    if bout.reps == 0:
        return range(span.at_ms + HOLD_TICK_MS, span.end_ms, HOLD_TICK_MS)
    return range(span.at_ms + bout.rep_ms, span.at_ms + bout.reps * bout.rep_ms, bout.rep_ms)


def _by_time(span: Span) -> bool:
    return span.cell is not None and span.cell.dose.duration_ms is not None


def _countdown(end_ms: int, kinds: Tune, clear_ms: int) -> Iterator[Beep]:
    """Full seconds before `end_ms`, the last of `kinds` a second before it, none before `clear_ms`."""
    for seconds, kind in enumerate(reversed(kinds), start=1):
        if (at_ms := end_ms - seconds * SECOND_MS) >= clear_ms:
            yield Beep(at_ms=at_ms, kind=kind)
