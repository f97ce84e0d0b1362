"""The timeline cell by cell: what comes before the first repetition, and the work; and what is new since last round."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from everyrung.moves.changed_levers import changed_levers, size
from everyrung.moves.lever_words import this_time
from everyrung.terms.enums import BlockKind, Position, SpanKind
from everyrung.terms.frozen import dataclass
from everyrung.terms.session import Cell, Clock
from everyrung.terms.timeline import KitInUse, Span, Timeline
from everyrung.timing.transitions import held_kit
from everyrung.timing.turns import RESTS, side_by_side


@dataclass(frozen=True, slots=True, kw_only=True)
class CellTiming:
    """One cell on the clock. `before_ms` is its first moment, `count_in_ms` where the count before the first repetition
    begins.

    `after` is the work that ends right before it in the same block, None where talk, a round's rest or a block's start
    lies between; `round_over` is that rest. `explained_by_ms` is by when all about it is to have been said: where
    it is done in waves, before the first of them; `into_ms` is when everyone, the leader too, gets down or into
    position for it. Its turn begins at `turn_ms`; `rests` are turns after it in which its wave rests.
    `fetch` is the time for kit before it, `kit_before` what is in use when it comes, `position` what
    everyone is in: in waves, when it comes to the first of them. `round_place` counts its block's rounds from 0.
    """

    cell: Cell
    block_kind: BlockKind
    before_ms: int
    count_in_ms: int
    work: tuple[Span, ...]
    round_place: int
    explained_by_ms: int
    into_ms: int
    turn_ms: int
    rests: tuple[Span, ...] = ()
    after: Span | None = None
    round_over: Span | None = None
    fetch: Span | None = None
    kit_before: tuple[KitInUse, ...] = ()
    position: Position = Position.STANDING

    @property
    def column(self) -> tuple[str, str]:
        """The block and the column that the cell stands in, through all rounds."""
        return self.cell.ref.block, self.cell.ref.cell


def cell_timings(timeline: Timeline, clock: Clock) -> tuple[CellTiming, ...]:
    """All cells that are led, in order of time.

    >>> from everyrung import analyze
    >>> evening = analyze("examples/boathouse-30.toml")
    >>> timing = cell_timings(evening.timeline, evening.session.clock)[6]
    >>> str(timing.cell.ref), timing.count_in_ms - timing.before_ms
    ('Main/One/squat', 31000)
    """
    result: list[CellTiming] = []
    begins = {id(span.cell): span.at_ms for span in reversed(timeline.spans) if span.kind is SpanKind.WORK}
    here: tuple[tuple[KitInUse, ...], Position] = ((), Position.STANDING)
    stands: dict[int, tuple[tuple[KitInUse, ...], Position]] = {}  # by when the first wave begins
    for spans in _whole(_by_cell(timeline.spans)):
        work = tuple(span for span in spans if span.kind is SpanKind.WORK)
        cell, first = spans[0].cell, work[0]
        assert cell is not None
        first_ms = _first_ms(first, cell, begins)
        kit, position = stands.setdefault(first_ms, here)
        visit = CellTiming(
            cell=cell,
            block_kind=first.block.kind,
            before_ms=spans[0].at_ms,
            count_in_ms=max(spans[0].at_ms, first.at_ms - clock.count_in_ms),
            work=work,
            explained_by_ms=first_ms - clock.count_in_ms,
            into_ms=_into_ms(spans, first),
            turn_ms=next((span.at_ms for span in spans if span.kind is not SpanKind.EXPLAIN), first.at_ms),
            rests=tuple(span for span in spans if span.text == RESTS),
            round_place=first.block.rounds.index(first.round) if first.round else 0,
            round_over=next((span for span in spans if span.kind is SpanKind.ROUND_REST), None),
            fetch=next((span for span in spans if span.kind is SpanKind.KIT and span.end_ms <= first.at_ms), None),
            kit_before=kit,
            position=position,
        )
        here = held_kit(cell, cell.bouts[-1]), cell.rung.form.position
        follows = bool(result) and result[-1].work[-1].end_ms == visit.before_ms and visit.round_over is None
        result.append(replace(visit, after=result[-1].work[-1]) if follows else visit)
    return tuple(result)


def _into_ms(spans: Sequence[Span], first: Span) -> int:
    """Where the last run of getting down and into position before the work begins; the work's own beginning without."""
    at_ms = first.at_ms
    for span in reversed(spans):
        if span.end_ms == at_ms and span.kind in (SpanKind.FLOOR, SpanKind.SETTLE):
            at_ms = span.at_ms
    return at_ms


def _first_ms(first: Span, cell: Cell, begins: Mapping[int, int]) -> int:
    """When the first wave of those that do it side by side with others begins; its own beginning where it is alone."""
    groups = side_by_side(first.round) if first.round and first.round.waves else ()
    group = next((each for each in groups if cell in each), (cell,))
    return min(begins.get(id(each), first.at_ms) for each in group if each)


def _whole(runs: Iterator[list[Span]]) -> Iterator[list[Span]]:
    """Runs with what was said of their cells before others began."""
    explains: dict[int, list[Span]] = {}
    for run in runs:
        if all(span.kind is SpanKind.EXPLAIN for span in run):
            explains.setdefault(id(run[0].cell), []).extend(run)
        else:
            yield [*explains.pop(id(run[0].cell), []), *run]


def _by_cell(spans: Sequence[Span]) -> Iterator[list[Span]]:
    """Runs of spans of one cell; announcements belong to none."""
    run: list[Span] = []
    for span in spans:
        if run and span.cell is not run[0].cell:
            yield run
            run = []
        if span.cell is not None:
            run.append(span)
    if run:
        yield run


def change_words(before: Cell, after: Cell) -> Iterator[str]:
    """What the rung's name may not tell of a change since the round before: 'Further', 'Slower', 'With a pause'.
    Another move, load or base is in the name or fetched.
    """
    for lever in changed_levers(before, after):
        (_, old), (_, new) = size(lever, before), size(lever, after)
        if words := this_time(lever, old, new):
            yield words
