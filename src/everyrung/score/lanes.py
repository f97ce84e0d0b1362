"""What the body does inside a bout, as strokes: how deep it is at each moment of each repetition.

Side debts: work that one side has had and the other is still owed.

The score as data: a session and its timeline laid out in lanes on one time axis, not yet drawn.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from everyrung.terms.enums import Position, Side, Sidedness, SpanKind
from everyrung.terms.move import PULSE_MS, Form, Rung
from everyrung.terms.plan import Ref
from everyrung.terms.session import Cell, Session
from everyrung.terms.timeline import KitInUse, Phase, Span, Timeline, phases
from everyrung.timing.side_totals import NOTHING, Sides, sides_of, totals

_ENDS = ((0.0, 1.0), (1.0, 1.0), (1.0, 0.0), (0.0, 0.0))  # of the phases in the order of time
_PULSE_TO = 0.6  # of the depth; chosen, because a pulse comes back by less than half


@dataclass(frozen=True, slots=True, kw_only=True)
class Stroke:
    """One phase: depth 0 is where a repetition begins, 1 its full depth. `rep` is 0 in a hold."""

    at_ms: int
    end_ms: int
    side: Side
    before: float
    after: float
    rep: int

    @property
    def is_pause(self) -> bool:
        return self.before == self.after


def strokes(span: Span) -> tuple[Stroke, ...]:
    """The strokes of a work span, from its phases; none for any other span."""
    if span.bout is None:
        return ()
    if span.bout.reps == 0:
        return tuple(_stroke(phase, 1.0, 1.0) for phase in phases(span))
    return tuple(_rep_strokes(span))


def _rep_strokes(span: Span) -> Iterator[Stroke]:
    bout, cell = span.bout, span.cell
    assert bout is not None
    assert cell is not None
    form = cell.rung.form
    kinds = [kind for kind, (_, length_ms) in enumerate(form.in_time(bout.tempo)) if length_ms]
    rep, at = 0, 0
    for phase in phases(span):
        rep, at = (rep, at + 1) if phase.rep == rep else (phase.rep, 0)
        kind = kinds[at] if at < len(kinds) else 3  # beyond the tempo: the drawn-out rest of a timed bout
        if kind == 1 and form.pulses:
            yield from _pulses(phase, form)
        else:
            yield _stroke(phase, *_ENDS[kind])


def _pulses(phase: Phase, form: Form) -> Iterator[Stroke]:
    """The pause there may be, then small bends of half a second, there and back, then the extra."""
    until_ms = phase.end_ms - form.extra_ms
    first_ms = until_ms - form.pulses_ms
    halves = [(at_ms, at_ms + PULSE_MS // 2) for at_ms in range(first_ms, until_ms, PULSE_MS // 2)]
    yield from _lasting(phase, phase.at_ms, first_ms, 1.0, 1.0)
    for place, (at_ms, end_ms) in enumerate(halves):
        before, after = (_PULSE_TO, 1.0) if place % 2 else (1.0, _PULSE_TO)
        yield from _lasting(phase, at_ms, end_ms, before, after)
    yield from _lasting(phase, until_ms, phase.end_ms, 1.0, 1.0)


def _lasting(phase: Phase, at_ms: int, end_ms: int, before: float, after: float) -> Iterator[Stroke]:
    if end_ms > at_ms:
        yield Stroke(at_ms=at_ms, end_ms=end_ms, side=phase.side, before=before, after=after, rep=phase.rep)


def _stroke(phase: Phase, before: float, after: float) -> Stroke:
    return Stroke(at_ms=phase.at_ms, end_ms=phase.end_ms, side=phase.side, before=before, after=after, rep=phase.rep)


@dataclass(frozen=True, slots=True, kw_only=True)
class Debt:
    """`side` (the participant's) is owed `amount`, in words, when `cell` ends.

    `at_ms` to `end_ms` is the other side's work that ran ahead; `paid_ms` is when both are even again, if ever.
    """

    at_ms: int
    end_ms: int
    side: Side
    amount: str
    cell: Cell
    paid_ms: int | None = None

    @property
    def words(self) -> str:
        return f"{self.side} owed {self.amount}"


def side_debts(session: Session, timeline: Timeline) -> tuple[Debt, ...]:
    """Every debt of the session, in the order of the clock; one that is settled later says when."""
    work: dict[Ref, list[Span]] = {}
    for span in timeline.spans:
        if span.cell and span.kind is SpanKind.WORK:
            work.setdefault(span.cell.ref, []).append(span)
    columns: dict[str, list[Cell]] = {}
    for cell in session.cells:
        if cell.rung.form.sides is not Sidedness.BOTH:
            columns.setdefault(cell.rung.form.move, []).append(cell)
    debts = [debt for cells in columns.values() for debt in _of_move(cells, work)]
    return tuple(sorted(debts, key=lambda debt: debt.at_ms))


def sides_equal(session: Session) -> bool:
    """Whether every move is worked the same on both sides, over the whole session."""
    return all(sides.equal for sides in totals(session.cells).values())


def _of_move(cells: list[Cell], work: dict[Ref, list[Span]]) -> list[Debt]:
    result: list[Debt] = []
    so_far = NOTHING
    after: list[Sides] = []
    for cell in cells:
        so_far += sides_of(cell)
        after.append(so_far)
    for place, cell in enumerate(cells):
        own, total = sides_of(cell), after[place]
        if own.equal or total.equal or own.owed_side is not total.owed_side:
            continue
        paid_at = next((at for at in range(place + 1, len(cells)) if after[at].equal), None)
        at_ms, end_ms = _ahead(work[cell.ref], total.owed_side.other)
        result.append(
            Debt(
                at_ms=at_ms,
                end_ms=end_ms,
                side=total.owed_side,
                amount=total.debt,
                cell=cell,
                paid_ms=None if paid_at is None else work[cells[paid_at].ref][-1].end_ms,
            )
        )
    return result


def _ahead(spans: list[Span], side: Side) -> tuple[int, int]:
    """The bout of the side that ran ahead; of an alternating bout, its last repetition."""
    own = [span for span in spans if span.side is side]
    if own:
        return own[-1].at_ms, own[-1].end_ms
    last = spans[-1]
    rep_ms = last.bout.rep_ms if last.bout else 0
    return max(last.at_ms, last.end_ms - rep_ms), last.end_ms


class Lane(StrEnum):
    SIDES = "sides"
    BODY = "body"
    KIT = "kit"
    TALK = "talk"
    REST = "rest"


LANE_OF = {
    SpanKind.WORK: Lane.SIDES,
    SpanKind.SWITCH: Lane.SIDES,
    SpanKind.SETTLE: Lane.SIDES,
    SpanKind.FLOOR: Lane.BODY,
    SpanKind.KIT: Lane.KIT,
    SpanKind.ANNOUNCE: Lane.TALK,
    SpanKind.EXPLAIN: Lane.TALK,
    SpanKind.REST: Lane.REST,
    SpanKind.ROUND_REST: Lane.REST,
    SpanKind.WAIT: Lane.REST,
}

# Chosen: roughly the height of the head above the floor as a share of standing, spread where shares are close.
_HEIGHTS = {
    Position.STANDING: 1.0,
    Position.LEANING: 0.86,
    Position.SEATED: 0.74,
    Position.KNEELING: 0.66,
    Position.HALF_KNEELING: 0.66,
    Position.FLOOR_SEATED: 0.48,
    Position.HANDS_AND_KNEES: 0.36,
    Position.FRONT_SUPPORT: 0.26,
    Position.SIDE_SUPPORT: 0.26,
    Position.SIDE: 0.06,
    Position.BACK: 0.0,
    Position.FRONT: 0.0,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """One span of the timeline in its lane. `grade` and `strokes` only where it is work."""

    lane: Lane
    span: Span
    grade: int = 0
    strokes: tuple[Stroke, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """A named stretch of the clock: a block, a round, or kit in hand."""

    at_ms: int
    end_ms: int
    label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CellFrame:
    """One cell with its number in the session and its rung's place on the ladder (0: the easiest; None: beside it)."""

    at_ms: int
    end_ms: int
    number: int
    cell: Cell
    place: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Pitch:
    """Body position as height, 0 lying and 1 standing; the two differ while getting down or up."""

    at_ms: int
    end_ms: int
    before: float
    after: float
    position: Position


@dataclass(frozen=True, slots=True, kw_only=True)
class Score:
    """Everything that is drawn; each span of the timeline is exactly one stretch."""

    title: str
    slot_ms: int
    total_ms: int
    stretches: tuple[Stretch, ...]
    blocks: tuple[Frame, ...]
    rounds: tuple[Frame, ...]
    cells: tuple[CellFrame, ...]
    pitches: tuple[Pitch, ...]
    kit: tuple[Frame, ...]
    debts: tuple[Debt, ...]
    sides_equal: bool


def score_lanes(session: Session, timeline: Timeline) -> Score:
    """The lanes of a session."""
    spans = timeline.spans
    return Score(
        title=session.title,
        slot_ms=session.slot_ms,
        total_ms=timeline.total_ms,
        stretches=tuple(_stretch(span) for span in spans),
        blocks=_frames([(span, span.block.name) for span in spans]),
        rounds=_frames(
            [(span, span.round.name if span.round and len(span.block.rounds) > 1 else "") for span in spans]
        ),
        cells=_cells(session, spans),
        pitches=tuple(_pitches(spans)),
        kit=_frames([(span, kit_words(span.kit)) for span in spans]),
        debts=side_debts(session, timeline),
        sides_equal=sides_equal(session),
    )


def cell_numbers(session: Session) -> dict[Ref, int]:
    """A running number for every cell: first what is led, then the reserve."""
    reserve = [cell for block in session.reserve for cell in block.cells]
    return {cell.ref: number for number, cell in enumerate([*session.cells, *reserve], start=1)}


def kit_words(kit: tuple[KitInUse, ...]) -> str:
    return " + ".join(each.label.replace(" x ", " × ") for each in kit)


def ladder_place(cell: Cell) -> float | None:
    """Where the rung stands on its move's ladder; a coach's own stands half a step above the highest that it contains.
    None for a stand-in, which is another move's and no step of this ladder.
    """
    if cell.rung.form.move != cell.move.key:
        return None
    keys = [rung.key for rung in cell.move.ladder]
    if cell.rung.key in keys:
        return float(keys.index(cell.rung.key))
    return max((at + 0.5 for at, rung in enumerate(cell.move.ladder) if _contains(cell.rung, rung)), default=0.0)


def _contains(rung: Rung, other: Rung) -> bool:
    return set(other.levers) <= set(rung.levers)


def _stretch(span: Span) -> Stretch:
    grade = span.cell.rung.grade if span.cell and span.kind is SpanKind.WORK else 0
    return Stretch(lane=LANE_OF[span.kind], span=span, grade=grade, strokes=strokes(span))


def _frames(labels: list[tuple[Span, str]]) -> tuple[Frame, ...]:
    """Neighbouring spans of one label as one frame; an empty label is a gap. Rounds of two blocks stay apart."""
    result: list[Frame] = []
    block: object = None
    for span, label in labels:
        if (
            label
            and result
            and result[-1].end_ms == span.at_ms
            and result[-1].label == label
            and block == span.block.name
        ):
            result[-1] = Frame(at_ms=result[-1].at_ms, end_ms=span.end_ms, label=label)
        elif label:
            result.append(Frame(at_ms=span.at_ms, end_ms=span.end_ms, label=label))
        block = span.block.name
    return tuple(result)


def _cells(session: Session, spans: tuple[Span, ...]) -> tuple[CellFrame, ...]:
    numbers = cell_numbers(session)
    frames: dict[Ref, CellFrame] = {}
    for span in spans:
        if span.cell is None or span.kind in (SpanKind.REST, SpanKind.ROUND_REST, SpanKind.WAIT):
            continue
        cell = span.cell
        at_ms = frames[cell.ref].at_ms if cell.ref in frames else span.at_ms
        frames[cell.ref] = CellFrame(
            at_ms=at_ms, end_ms=span.end_ms, number=numbers[cell.ref], cell=cell, place=ladder_place(cell)
        )
    return tuple(frames.values())


def _pitches(spans: tuple[Span, ...]) -> Iterator[Pitch]:
    """Runs of one position, and one ramp for each getting down or up."""
    run: Pitch | None = None
    for before, span in pairwise((None, *spans)):
        if span is None:
            continue
        height = _HEIGHTS[span.position]
        start = _HEIGHTS[before.position] if before and span.kind is SpanKind.FLOOR else height
        here = Pitch(at_ms=span.at_ms, end_ms=span.end_ms, before=start, after=height, position=span.position)
        if run and span.kind is not SpanKind.FLOOR and run.before == run.after and run.position is span.position:
            run = Pitch(at_ms=run.at_ms, end_ms=span.end_ms, before=run.before, after=run.after, position=run.position)
            continue
        if run:
            yield run
        run = here
    if run:
        yield run
