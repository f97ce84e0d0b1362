"""Whether a session prepares what it trains, rests what it has trained, and stretches long enough."""

from collections.abc import Iterator
from itertools import pairwise

from everyrung.checks.cells import and_list, count_words, key_words, move_words, refs, strength_blocks
from everyrung.checks.rule import TIMELINE, rule
from everyrung.terms.enums import (
    BlockKind,
    Caution,
    Mode,
    OptionKind,
    Pattern,
    Position,
    Severity,
    Side,
    SpanKind,
    Support,
)
from everyrung.terms.finding import Finding, OfKind
from everyrung.terms.move import Move
from everyrung.terms.plan import Ref
from everyrung.terms.session import Block, Cell, Session
from everyrung.terms.timeline import Span, Timeline
from everyrung.terms.units import clock_text

LEAST_REST_MS = 60_000  # ACSM 2009: 1 to 2 min for light loads
STRETCH_MS = 60_000  # ACSM guidelines: 60 s a muscle in all (V2)
TRAINED = (
    Pattern.KNEE, Pattern.HIP, Pattern.BRIDGE, Pattern.PUSH, Pattern.PULL, Pattern.OVERHEAD, Pattern.TRUNK,
)  # fmt: skip
# What a warm-up move has to have among its focus to prepare a pattern: common practice, no source.
_PREPARES = {
    Pattern.KNEE: {"thighs", "front of the thigh", "buttocks", "hips"},
    Pattern.HIP: {"back of the thigh", "buttocks", "hips", "back"},
    Pattern.BRIDGE: {"back of the thigh", "buttocks", "hips", "back"},
    Pattern.PUSH: {"shoulders", "chest", "front of the shoulder"},
    Pattern.PULL: {"upper back", "shoulders", "back of the shoulder"},
    Pattern.OVERHEAD: {"shoulders"},
    Pattern.TRUNK: {"trunk", "waist", "back", "front of the hip", "hips"},
}
ON_HANDS = {
    Support.HANDS_RAISED, Support.HANDS_AND_KNEES, Support.HANDS_AND_FEET, Support.HAND_AND_KNEE,
}  # fmt: skip


@rule(TIMELINE)
def rest_short(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """Between two sets of one pattern lies a minute or more; talk, changes and other moves count as rest for it.

    Severity: warning
    Limit: 1:00 between sets of one pattern
    Source: ACSM 2009: 1 to 2 min of rest with light loads
    """
    short = [rest for block in strength_blocks(session) for rest in _short_rests(timeline, block)]
    if short:
        least_ms, _, worst = min(short, key=lambda each: each[0])
        cells = [cell for _, before, after in short for cell in (before, after)]
        yield Finding(
            rule=rest_short.id,
            severity=Severity.WARNING,
            where=worst.where,
            places=refs(cells),
            measured=f"{count_words(len(short), 'time')} less than {clock_text(LEAST_REST_MS)} between sets of one "
            f"pattern, least {clock_text(least_ms)} before the {move_words(worst)}",
            limit=f"at least {clock_text(LEAST_REST_MS)} between sets of one pattern",
            source=rest_short.source,
            remedy="Put a move of another pattern between them, or a longer rest.",
        )


def _short_rests(timeline: Timeline, block: Block) -> Iterator[tuple[int, Cell, Cell]]:
    """The time between neighbouring sets of one pattern, where it is short, with both cells."""
    work = [span for span in timeline.spans if span.block is block and span.kind is SpanKind.WORK]
    for pattern in TRAINED:
        sets = list(_sets([span for span in work if span.cell and span.cell.move.pattern is pattern]))
        for (_, end_ms, before), (start_ms, _, after) in pairwise(sets):
            if start_ms - end_ms < LEAST_REST_MS:
                yield start_ms - end_ms, before, after


def _sets(work: list[Span]) -> Iterator[tuple[int, int, Cell]]:
    """Start and end of each cell's work, both sides together."""
    ends: dict[Ref, tuple[int, int, Cell]] = {}
    for span in work:
        if span.cell is not None:
            start_ms = ends[span.cell.ref][0] if span.cell.ref in ends else span.at_ms
            ends[span.cell.ref] = start_ms, span.end_ms, span.cell
    return iter(ends.values())


@rule(TIMELINE)
def warm_up_gap(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """The warm-up moves what the main blocks load: each pattern, and the wrists where hands bear weight.

    Severity: warning
    Limit: 1 move for each pattern of the main blocks, and for the wrists
    Source: common practice, no source: what is to be loaded is moved without a load first
    """
    warm, main = session.cells_of(BlockKind.WARM_UP), session.cells_of(BlockKind.MAIN)
    if not warm or not main:
        return  # without a warm-up another rule speaks
    patterns = [pattern for pattern in TRAINED if any(cell.move.pattern is pattern for cell in main)]
    lacking = list(map(str, patterns_left_cold(session)))
    on_wrists = any(Caution.WRIST_LOAD in cell.rung.cautions for cell in main)
    if on_wrists and not any(cell.rung.form.support in ON_HANDS for cell in warm):
        lacking.append("the wrists")
    if lacking:
        total = len(patterns) + on_wrists
        yield Finding(
            rule=warm_up_gap.id,
            severity=Severity.WARNING,
            where=next(block.where for block in session.of_kind(BlockKind.WARM_UP)),
            places=(OfKind(kind=BlockKind.WARM_UP),),
            measured=f"{total - len(lacking)} of {total} prepared: nothing for {and_list(lacking)}",
            limit="1 move for each pattern of the main blocks, and for wrists that bear weight",
            source=warm_up_gap.source,
            remedy=f"Add an easy version of a main move for {lacking[0]} to the warm-up, without a load.",
        )


def patterns_left_cold(session: Session) -> tuple[Pattern, ...]:
    """The patterns of the main blocks that no move of a warm-up prepares."""
    warm = [cell.move for cell in session.cells_of(BlockKind.WARM_UP)]
    main = {cell.move.pattern for cell in session.cells_of(BlockKind.MAIN)}
    return tuple(each for each in TRAINED if each in main and not any(prepares(move, each) for move in warm))


def prepares(move: Move, pattern: Pattern) -> bool:
    """Whether a warm-up move moves what a pattern loads."""
    return move.pattern is pattern or bool(_PREPARES.get(pattern, set()) & set(move.focus))


@rule(TIMELINE)
def stretch_short(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """Each stretch of the cool-down lasts 60 s in all, a side where it has sides.

    Severity: note
    Limit: 1:00 a muscle in all
    Source: ACSM guidelines, from memory: 10 to 30 s, 2 to 4 times, 60 s a muscle in all
    """
    cells: dict[str, list[Cell]] = {}
    for cell in session.cells_of(BlockKind.COOL_DOWN):
        if cell.move.pattern is Pattern.STRETCH and cell.rung.form.mode is Mode.HOLD:
            cells.setdefault(cell.move.key, []).append(cell)
    lasting = {key: _lasting_ms(group) for key, group in cells.items()}
    short = {key: lasting_ms for key, lasting_ms in lasting.items() if lasting_ms < STRETCH_MS}
    if short:
        yield Finding(
            rule=stretch_short.id,
            severity=Severity.NOTE,
            where=cells[next(iter(short))][0].where,
            places=refs(cell for key in short for cell in cells[key]),
            measured=and_list(f"{key_words(key)} {clock_text(lasting_ms)}" for key, lasting_ms in short.items()),
            limit=f"{clock_text(STRETCH_MS)} a muscle in all, on each side",
            source=stretch_short.source,
            remedy="Stretch fewer muscles longer, or each of them twice.",
        )


def _lasting_ms(cells: list[Cell]) -> int:
    """How long one stretch is held in all, on the side that is held least."""
    sides: dict[Side, int] = {}
    for bout in (bout for cell in cells for bout in cell.bouts):
        sides[bout.side] = sides.get(bout.side, 0) + bout.duration_ms
    return min(sides.values())


@rule(TIMELINE)
def floor_late(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """Nobody gets down to the floor for the first time in a later round, nor is sent there by an easier option.

    Severity: warning
    Limit: 0 first floor visits after the first round
    Source: chosen, because getting down is hardest for tired and unsteady people, and then it comes as a surprise
    """
    for block in session.of_kind(BlockKind.MAIN):
        floor = [any(_on_floor(cell) for cell in each.cells) for each in block.rounds]
        late = [
            cell
            for place, each in enumerate(block.rounds)
            for cell in each.cells
            if place and not any(floor[:place]) and _on_floor(cell)
        ]
        if late:
            yield Finding(
                rule=floor_late.id,
                severity=Severity.WARNING,
                where=late[0].where,
                places=refs(late),
                measured=f"{count_words(len(late), 'set')} on the floor, or with an easier or no-kit "
                f"option there, first in round {late[0].ref.round}",
                limit="0 first floor visits after the first round",
                source=floor_late.source,
                remedy=f"Offer a standing version in the {move_words(late[0])}, or begin on the floor.",
            )


def _on_floor(cell: Cell) -> bool:
    options = [cell.option(kind) for kind in (OptionKind.EASIER, OptionKind.NO_KIT)]
    positions: list[Position] = [option.rung.form.position for option in options if option]
    return any(position.on_floor for position in (cell.rung.form.position, *positions))
