"""From a session to its timeline: whole milliseconds, no gaps, every second named.

A rest is counted from the end of one bout to the start of the next. Explaining, fetching kit and getting
into position happen inside it; only what is left over stands as rest on the clock. Of cells that are done side by side
in waves the clock has the first wave's own, and its waiting; all waves take the same time.
"""

from dataclasses import field

from everyrung.terms.enums import Position, Side, SpanKind
from everyrung.terms.frozen import dataclass
from everyrung.terms.session import Block, Bout, Cell, Round, Session
from everyrung.terms.timeline import KitInUse, Span, Timeline
from everyrung.timing.transitions import Transition, explain_ms, held_kit, kit_change_ms, switch_ms, transitions
from everyrung.timing.turns import RESTS, WAITS, Stand, ready_ms, side_by_side, stand_after, turns


@dataclass(slots=True, kw_only=True)
class _Now:
    """Where the clock and the class are; mutable while one timeline is laid."""

    session: Session
    at_ms: int = 0
    position: Position = Position.STANDING
    kit: tuple[KitInUse, ...] = ()
    rest_ms: int = 0
    rest_kind: SpanKind = SpanKind.REST
    spans: list[Span] = field(default_factory=list)
    last_cells: dict[tuple[str, str], Cell] = field(default_factory=dict)
    others: tuple[Stand, ...] = ()  # of the waves after the first


def build_timeline(session: Session) -> Timeline:
    """The timeline of everything that is led, from 0 ms and without a gap; the reserve is not on it.

    >>> from everyrung import analyze
    >>> session = analyze("examples/boathouse-30.toml").session
    >>> timeline = build_timeline(session)
    >>> timeline.total_ms, [str(span.kind) for span in timeline.spans[:4]]
    (1793000, ['announcement', 'explaining', 'getting into position', 'work'])
    """
    return lay_blocks(session, session.blocks)


def lay_blocks(session: Session, blocks: tuple[Block, ...]) -> Timeline:
    """The timeline of some blocks alone, with the session's clock; it starts at 0 ms with everyone standing and
    empty-handed.
    """
    now = _Now(session=session)
    for block in blocks:
        _lay_block(now, block)
    return Timeline(spans=tuple(now.spans))


def _lay_block(now: _Now, block: Block) -> None:
    if block.talk_ms:
        _add(now, SpanKind.ANNOUNCE, block.talk_ms, block, text=" ".join(block.say))
        now.rest_ms = max(0, now.rest_ms - block.talk_ms)
    for each in block.rounds:
        for group in side_by_side(each):
            _lay_group(now, block, each, group)
        if each.rest_ms and each is not block.rounds[-1]:
            now.rest_ms, now.rest_kind = each.rest_ms, SpanKind.ROUND_REST


def _lay_group(now: _Now, block: Block, round_: Round, group: tuple[Cell | None, ...]) -> None:
    """A cell alone; or the first of the waves that work side by side, once all of their cells are explained."""
    cells = [cell for cell in group if cell]
    if len(group) == 1:
        now.rest_ms = max(now.rest_ms, *(_ready_ms(now, block, cells[0], each) for each in now.others), 0)
        now.others = ()
        _lay_cell(now, block, round_, cells[0])
        return
    for cell in cells:
        span_ms = explain_ms(now.session.clock, block.kind, cell, now.last_cells.get((block.name, cell.ref.cell)))
        _add(now, SpanKind.EXPLAIN, span_ms, block, round_, cell, text=cell.rung.name)
        now.rest_ms = max(0, now.rest_ms - span_ms)
    here = Stand(position=now.position, kit=now.kit)
    for turn in turns(now.session.clock, block.kind, group, now.rest_ms, (here, *now.others)):
        now.rest_ms = turn.between_ms
        if turn.cell:
            start_ms = now.at_ms + turn.between_ms
            _lay_cell(now, block, round_, turn.cell, is_ready=True)
            _add(now, SpanKind.WAIT, start_ms + turn.work_ms - now.at_ms, block, round_, turn.cell, text=WAITS)
        else:
            now.kit = ()
            _add(now, SpanKind.WAIT, turn.between_ms + turn.work_ms, block, round_, cells[-1], text=RESTS)
    now.rest_ms = max(cell.rest_ms for cell in cells)
    now.others = tuple(stand_after(each, here) for each in group[:-1])  # of what each wave did last


def _ready_ms(now: _Now, block: Block, cell: Cell, stand: Stand) -> int:
    """How long somebody of another wave takes to get to a cell that all do, while it is explained and after."""
    earlier = now.last_cells.get((block.name, cell.ref.cell))
    return explain_ms(now.session.clock, block.kind, cell, earlier) + ready_ms(
        now.session.clock, block.kind, cell, stand
    )


def _lay_cell(now: _Now, block: Block, round_: Round, cell: Cell, *, is_ready: bool = False) -> None:
    earlier = now.last_cells.get((block.name, cell.ref.cell))
    next_kit = held_kit(cell, cell.bouts[0])
    steps = transitions(now.session.clock, block.kind, cell, earlier, now.position, now.kit, next_kit)
    if is_ready:
        steps = tuple(step for step in steps if step.kind is not SpanKind.EXPLAIN)
    _lay_rest(now, block, round_, cell, sum(step.duration_ms for step in steps))
    for step in steps:
        _lay_step(now, block, round_, cell, step, next_kit)
    for before, bout in zip((None, *cell.bouts), cell.bouts, strict=False):
        if before is not None:
            _lay_switch(now, block, round_, cell, before, bout)
        _add(now, SpanKind.WORK, bout.duration_ms, block, round_, cell, bout)
    now.last_cells[(block.name, cell.ref.cell)] = cell
    now.rest_ms, now.rest_kind = cell.rest_ms, SpanKind.REST


def _lay_rest(now: _Now, block: Block, round_: Round, cell: Cell, taken_ms: int) -> None:
    left_ms = now.rest_ms - taken_ms
    if left_ms > 0:
        _add(now, now.rest_kind, left_ms, block, round_, cell)
    now.rest_ms, now.rest_kind = 0, SpanKind.REST


def _lay_step(
    now: _Now, block: Block, round_: Round, cell: Cell, step: Transition, next_kit: tuple[KitInUse, ...]
) -> None:
    if step.kind is SpanKind.KIT:
        now.kit = next_kit
    elif step.kind is SpanKind.SETTLE or (step.kind is SpanKind.FLOOR and cell.rung.form.position.on_floor):
        now.position = cell.rung.form.position
    elif step.kind is SpanKind.FLOOR:
        now.position = Position.STANDING  # up first; a chair is sat on once it is there
    _add(now, step.kind, step.duration_ms, block, round_, cell, text=step.text)


def _lay_switch(now: _Now, block: Block, round_: Round, cell: Cell, before: Bout, bout: Bout) -> None:
    clock = now.session.clock
    _add(
        now,
        SpanKind.SWITCH,
        switch_ms(clock, before, bout),
        block,
        round_,
        cell,
        text=f"{bout.side} side next",
    )
    next_kit = held_kit(cell, bout)
    if change_ms := kit_change_ms(clock, now.kit, next_kit):
        now.kit = next_kit
        _add(now, SpanKind.KIT, change_ms, block, round_, cell, text="other kit for the other side")


def _add(
    now: _Now,
    kind: SpanKind,
    duration_ms: int,
    block: Block,
    round_: Round | None = None,
    cell: Cell | None = None,
    bout: Bout | None = None,
    text: str = "",
) -> None:
    if duration_ms <= 0:
        return
    now.spans.append(
        Span(
            at_ms=now.at_ms,
            end_ms=now.at_ms + duration_ms,
            kind=kind,
            block=block,
            round=round_,
            cell=cell,
            bout=bout,
            side=bout.side if bout else Side.BOTH,
            position=now.position,
            kit=now.kit,
            text=text,
        )
    )
    now.at_ms += duration_ms
