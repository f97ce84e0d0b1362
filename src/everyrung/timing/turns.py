"""Turns of waves: cells that are done side by side, each wave at another of them, as long as whoever takes longest.

Between two turns everybody rests, fetches and gets into position; a turn begins when the last one is ready.
"""

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from typing import TypeVar

from everyrung.terms.enums import BlockKind, Position, SpanKind
from everyrung.terms.frozen import dataclass
from everyrung.terms.plan import WAVE_RESTS, Ref
from everyrung.terms.session import Bout, Cell, Clock, Round
from everyrung.terms.timeline import KitInUse, Span
from everyrung.timing.transitions import held_kit, kit_change_ms, switch_ms, transitions

Entry = TypeVar("Entry")
# Words for what the first wave does while others work.
WAITS, RESTS = "until the others are done", "rest, while the others work"


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """What the first wave does in a turn, None for rest; how long before it all are ready, and how long its work is for
    whoever takes longest; ms.
    """

    cell: Cell | None
    between_ms: int
    work_ms: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Stand:
    """How some people are there between two cells: in which position, with what kit."""

    position: Position
    kit: tuple[KitInUse, ...]


def side_by_side(round_: Round) -> tuple[tuple[Cell | None, ...], ...]:
    """The cells of a round in the groups in which they are done, in order, None for rest; most are alone."""
    cells = {cell.ref.cell: cell for cell in round_.cells}
    groups: list[tuple[Cell | None, ...]] = []
    for key, cell in cells.items():
        group = round_.group_of(key)
        if len(group) == 1:
            groups.append((cell,))
        elif key == next(each for each in group if each in cells):
            groups.append(tuple(cells.get(each) if each != WAVE_RESTS else None for each in group))
    return tuple(groups)


def at_turn(group: Sequence[Entry], turn: int) -> tuple[Entry, ...]:
    """What each wave does in a turn, from 0: wave w entry w of the group first, then the one after it, round and round.

    >>> at_turn(("squat", "lunge", "rest"), 1)
    ('lunge', 'rest', 'squat')
    """
    return tuple(group[(wave + turn) % len(group)] for wave in range(len(group)))


def wave_sizes(people: int, waves: int) -> tuple[int, ...]:
    """As equal as can be, the larger ones first.

    >>> wave_sizes(15, 2)
    (8, 7)
    """
    least, more = divmod(people, waves)
    return tuple(least + (at < more) for at in range(waves))


def turns(
    clock: Clock,
    kind: BlockKind,
    group: Sequence[Cell | None],
    rest_ms: int,
    before: Sequence[Stand],
) -> tuple[Turn, ...]:
    """The turns of one group in as many waves as it has entries, after what is said of its cells, as `at_turn` has
    them. `rest_ms` is what is left of the rest before it, `before` how people are there, each of whom may be in
    any wave.
    """
    result: list[Turn] = []
    waves = [tuple(before) for _ in group]
    for turn in range(len(group)):
        does = at_turn(group, turn)
        ready = [ready_ms(clock, kind, cell, each) for cell, wave in zip(does, waves, strict=True) for each in wave]
        work_ms = max(_cell_work_ms(clock, cell) for cell in does if cell)
        result.append(Turn(cell=does[0], between_ms=max(rest_ms, *ready), work_ms=work_ms))
        waves = [(stand_after(cell, wave[0]),) for cell, wave in zip(does, waves, strict=True)]
        rest_ms = max(cell.rest_ms for cell in does if cell)
    return tuple(result)


def stand_after(cell: Cell | None, before: Stand) -> Stand:
    """How somebody is there who has done a cell, or has rested."""
    if cell is None:
        return Stand(position=before.position, kit=())
    return Stand(position=cell.rung.form.position, kit=held_kit(cell, cell.bouts[-1]))


def ready_ms(clock: Clock, kind: BlockKind, cell: Cell | None, stand: Stand) -> int:
    """How long somebody takes from the end of one turn to the first repetition of the next, ms."""
    if cell is None:
        return kit_change_ms(clock, stand.kit, ())
    steps = transitions(clock, kind, cell, None, stand.position, stand.kit, held_kit(cell, cell.bouts[0]))
    return sum(step.duration_ms for step in steps if step.kind is not SpanKind.EXPLAIN)


def _cell_work_ms(clock: Clock, cell: Cell) -> int:
    """From the first repetition to the last, both sides with what lies between them."""
    return sum(bout.duration_ms for bout in cell.bouts) + sum(
        _between_bouts_ms(clock, cell, before, after) for before, after in pairwise(cell.bouts)
    )


def _between_bouts_ms(clock: Clock, cell: Cell, before: Bout, after: Bout) -> int:
    """From the end of one side to the beginning of the other."""
    return switch_ms(clock, before, after) + kit_change_ms(clock, held_kit(cell, before), held_kit(cell, after))


def turn_times(own: Sequence[Span]) -> tuple[tuple[int, int], ...]:
    """When each turn of a group begins and ends, ms, from its spans without what was explained: a turn begins with the
    first wave's next cell, or with its rest.
    """
    begins = [
        span.at_ms
        for before, span in zip((None, *own), own, strict=False)
        if before is None or before.cell is not span.cell or RESTS in (before.text, span.text)
    ]
    return tuple(zip(begins, [*begins[1:], own[-1].end_ms], strict=True))


def wave_starts(
    clock: Clock, spans: Sequence[Span], group: Sequence[Cell | None]
) -> Mapping[Ref, tuple[tuple[int, ...], ...]]:
    """By cell of a group and by wave, when each of its bouts begins, ms: the first wave's as the timeline has them, the
    others' from the same turns, each at another cell; `spans` are those of the group's round.
    """
    refs = {cell.ref for cell in group if cell}
    own = [span for span in spans if span.cell and span.cell.ref in refs and span.kind is not SpanKind.EXPLAIN]
    starts: dict[Ref, list[tuple[int, ...]]] = {ref: [()] * len(group) for ref in refs}
    for turn, (_, end_ms) in enumerate(turn_times(own)):
        does = at_turn(group, turn)
        begin_ms = end_ms - max(_cell_work_ms(clock, cell) for cell in does if cell)
        for wave, cell in enumerate(does):
            if cell:
                starts[cell.ref][wave] = tuple(_bout_starts(clock, cell, begin_ms))
    return {ref: tuple(each) for ref, each in starts.items()}


def _bout_starts(clock: Clock, cell: Cell, begin_ms: int) -> Iterator[int]:
    yield begin_ms
    for before, after in pairwise(cell.bouts):
        begin_ms += before.duration_ms + _between_bouts_ms(clock, cell, before, after)
        yield begin_ms
