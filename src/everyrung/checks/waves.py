"""A session in waves: who works with shared kit and at the wall when, to the millisecond of the session's own clock.

A group of g waves has g turns; in each turn every wave works at another of its cells, or rests where there are fewer
cells than waves, and after g turns everybody has done all of them, both sides of each. A turn lasts as long as its
longest cell.
"""

from collections.abc import Iterator, Mapping
from dataclasses import replace

from everyrung.checks.wave_groups import NO_WALLS, Grouping, block_grouping
from everyrung.terms.brief import Brief
from everyrung.terms.enums import SpanKind
from everyrung.terms.frozen import dataclass
from everyrung.terms.plan import LETTERS
from everyrung.terms.session import Block, Cell, Round, Session, in_waves
from everyrung.terms.timeline import Span, Timeline
from everyrung.timing.timeline import build_timeline
from everyrung.timing.transitions import held_kit
from everyrung.timing.turns import at_turn, side_by_side, turn_times, wave_sizes


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class WaveTurn(Brief):
    """One turn of a group: what each wave does, None for rest; times from the beginning of the round."""

    at_ms: int
    end_ms: int
    cells: tuple[Cell | None, ...]


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Group(Brief):
    """Cells that are done side by side in `waves` waves."""

    cells: tuple[Cell, ...]
    waves: int
    turns: tuple[WaveTurn, ...]


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class RoundWaves(Brief):
    """A round in waves: when it begins on a clock that has these waves, its groups in order, how long all of it takes
    beside one after the other for everybody, what each person waits in it, and the cells for which even four waves are
    too few. `is_planned`: the plan says so, and its clock has it.
    """

    name: str
    block: str
    at_ms: int
    people: int
    groups: tuple[Group, ...]
    too_few: tuple[Cell, ...]
    total_ms: int
    together_ms: int
    idle_ms: int
    is_planned: bool

    @property
    def in_waves(self) -> bool:
        """Whether any of it is in waves."""
        return any(each.waves > 1 for each in self.groups) or bool(self.too_few)


def session_waves(
    session: Session, timeline: Timeline, people: int, wall_people: Mapping[str, int] = NO_WALLS
) -> tuple[RoundWaves, ...]:
    """Every round of the session for `people` in the room with its counted kit: as the plan has it, else as it could be
    led. `wall_people`: by a rung's address, how many its walls hold at once (RoomUse.wall_people), as many as come
    where it is not there.
    """
    groupings = {
        block.name: block_grouping(session, timeline, block, people, wall_people) for block in session.blocks
    }  # fmt: skip
    in_turns = replace(session, blocks=tuple(_in_waves(block, groupings[block.name]) for block in session.blocks))
    alone = replace(session, blocks=tuple(_alone(block) for block in session.blocks))
    timelines = build_timeline(in_turns), build_timeline(alone)
    return tuple(
        _round_waves(block, each, timelines, people, groupings[block.name], is_planned=bool(own.waves))
        for block, before in zip(in_turns.blocks, session.blocks, strict=True)
        for each, own in zip(block.rounds, before.rounds, strict=True)
    )


def _in_waves(block: Block, one: Grouping) -> Block:
    """A block led in these waves, where it has none of its own."""
    return replace(block, rounds=tuple(each if each.waves else in_waves(each, one.waves) for each in block.rounds))


def _alone(block: Block) -> Block:
    return replace(block, rounds=tuple(replace(each, waves=()) for each in block.rounds))


def _round_waves(
    block: Block, each: Round, timelines: tuple[Timeline, Timeline], people: int, one: Grouping, *, is_planned: bool
) -> RoundWaves:
    """A round as the clock has it in waves, and beside it without."""
    spans, alone = ([span for span in of.spans if _is_of(span, block, each)] for of in timelines)
    groups = []
    for group in side_by_side(each):
        cells = tuple(cell for cell in group if cell)
        own = [span for span in spans if span.cell in cells and span.kind is not SpanKind.EXPLAIN]
        groups.append(Group(cells=cells, waves=len(group), turns=tuple(_turns(own, group, spans[0].at_ms))))
    few = {time.cell.ref.cell for time in one.too_few}
    return RoundWaves(
        name=block.name if each.name in ("", block.name) else f"{block.name} / {each.name}",
        block=block.name,
        at_ms=spans[0].at_ms if spans else 0,
        people=people,
        groups=tuple(groups),
        too_few=tuple(cell for cell in each.cells if cell.ref.cell in few),
        total_ms=sum(span.duration_ms for span in spans),
        together_ms=sum(span.duration_ms for span in alone),
        idle_ms=sum(span.duration_ms for span in spans if span.kind is SpanKind.WAIT),
        is_planned=is_planned,
    )


def _is_of(span: Span, block: Block, each: Round) -> bool:
    return span.block.name == block.name and span.round is not None and span.round.name == each.name


def _turns(own: list[Span], group: tuple[Cell | None, ...], start_ms: int) -> Iterator[WaveTurn]:
    for turn, (at_ms, end_ms) in enumerate(turn_times(own)):
        yield WaveTurn(at_ms=at_ms - start_ms, end_ms=end_ms - start_ms, cells=at_turn(group, turn))


def who_is_where(people: int, waves: int) -> tuple[str, ...]:
    """'A: places 1 to 8' for each wave that has somebody."""
    lines, first = [], 1
    for letter, size in zip(LETTERS, wave_sizes(people, waves), strict=False):
        if size:
            lines.append(f"{letter}: {places_words(first, first + size - 1)}")
        first += size
    return tuple(lines)


def places_words(first: int, last: int) -> str:
    """'place 3', 'places 1 to 8'."""
    return f"place {first}" if first == last else f"places {first} to {last}"


def cell_words(cell: Cell | None) -> str:
    """What a wave does: the version with what is held for it, or 'rest'."""
    if cell is None:
        return "rest"
    kit = ", ".join(each.label for each in held_kit(cell, cell.bouts[0]))
    return f"{cell.rung.name} ({kit})" if kit else cell.rung.name
