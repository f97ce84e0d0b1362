"""The timeline cell by cell: what comes before the first repetition, and the work."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from everyrung.terms.enums import BlockKind, SpanKind
from everyrung.terms.session import Cell, Clock
from everyrung.terms.timeline import KitInUse, Span, Timeline
from everyrung.timing.transitions import held_kit


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """One cell on the clock. `after` is the work that ends right before it in the same block, None where talk or a
    block's start lies between; `fetch` is the time for kit before it, `held` what is in use when it comes;
    `count_in_ms` is where the count before the first repetition begins; `round_place` counts its block's rounds from 0.
    """

    cell: Cell
    block_kind: BlockKind
    before_ms: int
    count_in_ms: int
    work: tuple[Span, ...]
    round_place: int
    after: Span | None = None
    fetch: Span | None = None
    held: tuple[KitInUse, ...] = ()

    @property
    def column(self) -> tuple[str, str]:
        return self.cell.ref.block, self.cell.ref.cell


def visits(timeline: Timeline, clock: Clock) -> tuple[Visit, ...]:
    """All cells that are led, in order of time."""
    found: list[Visit] = []
    for spans in _by_cell(timeline.spans):
        work = tuple(span for span in spans if span.kind is SpanKind.WORK)
        cell, first = spans[0].cell, work[0]
        assert cell is not None
        visit = Visit(
            cell=cell,
            block_kind=first.block.kind,
            before_ms=spans[0].at_ms,
            count_in_ms=max(spans[0].at_ms, first.at_ms - clock.count_in_ms),
            work=work,
            round_place=first.block.rounds.index(first.round) if first.round else 0,
            fetch=next((span for span in spans if span.kind is SpanKind.KIT and span.end_ms <= first.at_ms), None),
            held=held_kit(found[-1].cell, found[-1].cell.bouts[-1]) if found else (),
        )
        follows = bool(found) and found[-1].work[-1].end_ms == visit.before_ms
        found.append(replace(visit, after=found[-1].work[-1]) if follows else visit)
    return tuple(found)


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
