"""The plan as a row of sets, side by side, as a leader goes through it: what a recording is laid upon."""

from dataclasses import dataclass

from everyrung.cues.cell_timing import CellTiming, cell_timings
from everyrung.terms.enums import BlockKind, Side
from everyrung.terms.plan import Ref
from everyrung.terms.session import Bout, Cell, Session
from everyrung.terms.timeline import Timeline


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanSet:
    """One side of one cell. It begins when what came before has ended, which is when it is named; `length_ms` is up to
    the next one's begin. `cell_place` and `round_place` count the plan's cells, and its block's rounds, from 0; `part`
    counts the cell's sides.
    """

    cell: Cell
    bout: Bout
    block_kind: BlockKind
    cell_place: int
    round_place: int
    part: int
    is_last_part: bool
    at_ms: int
    length_ms: int
    work_at_ms: int

    @property
    def ref(self) -> str:
        return str(self.cell.ref)

    @property
    def where(self) -> str:
        """Its round in words: 'Main, Three'."""
        return round_words(self.cell.ref)

    @property
    def name(self) -> str:
        """What it is called beside others: 'Split squat, right'."""
        return self.cell.rung.name if self.bout.side is Side.BOTH else f"{self.cell.rung.name}, {self.bout.side}"


def round_words(ref: Ref) -> str:
    """The round of a place in words, of a block with one round its block: 'Main, Three', 'Warm-up'."""
    return ref.block if ref.round in ("", ref.block) else f"{ref.block}, {ref.round}"


def plan_sets(session: Session, timeline: Timeline) -> tuple[PlanSet, ...]:
    """Every set of a session in order of time.

    >>> from everyrung import analyze
    >>> evening = analyze("examples/boathouse-30.toml")
    >>> [(each.name, each.at_ms // 1000) for each in plan_sets(evening.session, evening.timeline)[9:11]]
    [('Split squat, left', 550), ('Split squat, right', 604)]
    """
    timings = cell_timings(timeline, session.clock)
    rows = [(timing, place, part) for place, timing in enumerate(timings) for part in range(len(timing.work))]
    starts = [_start_ms(timing, part) for timing, _, part in rows]
    ends = [*starts[1:], timeline.total_ms]
    return tuple(
        PlanSet(
            cell=timing.cell,
            bout=timing.cell.bouts[part],
            block_kind=timing.block_kind,
            cell_place=place,
            round_place=timing.round_place,
            part=part,
            is_last_part=part == len(timing.work) - 1,
            at_ms=start,
            length_ms=end - start,
            work_at_ms=timing.work[part].at_ms,
        )
        for (timing, place, part), start, end in zip(rows, starts, ends, strict=True)
    )


def _start_ms(timing: CellTiming, part: int) -> int:
    return timing.before_ms if part == 0 else timing.work[part - 1].end_ms
