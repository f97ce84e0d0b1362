"""The words of a scene."""

from everyrung.terms.enums import BlockKind, Side, SpanKind
from everyrung.terms.session import Session
from everyrung.terms.timeline import Span, Timeline

COMING = "coming up"
THE_END = "The end"
LABELS = {
    SpanKind.ANNOUNCE: "Listen",
    SpanKind.EXPLAIN: "Watch",
    SpanKind.SETTLE: "Into position",
    SpanKind.SWITCH: "Change sides",
    SpanKind.REST: "Rest",
    SpanKind.ROUND_REST: "Rest",
}
SIDES = {Side.LEFT: "Left side", Side.RIGHT: "Right side", Side.BOTH: ""}  # the participant's


def label(span: Span) -> str:
    """What to do now: 'Repetition', 'Hold', 'Watch', 'Take ball; go to the wall'."""
    if span.kind is SpanKind.WORK:
        return "Repetition" if span.bout and span.bout.reps else "Hold"
    return LABELS.get(span.kind) or _capital(span.text) or _capital(span.kind)


def place(span: Span) -> str:
    """'Main: Two, move 3 of 5'."""
    if span.round is None or span.cell is None:
        return span.block.name
    name = span.block.name if len(span.block.rounds) == 1 else f"{span.block.name}: {span.round.name}"
    at = next(at for at, cell in enumerate(span.round.cells, start=1) if cell is span.cell)
    return f"{name}, move {at} of {len(span.round.cells)}"


def notes(span: Span, *, dose: bool) -> tuple[str, ...]:
    """Of a work span: how much where asked, and the kit that is held."""
    bout = span.bout
    amount = "" if bout is None else f"{bout.reps} repetitions" if bout.reps else f"{bout.duration_ms // 1000} seconds"
    kit = _capital(", ".join(held.label for held in span.kit))
    return tuple(filter(None, (amount if dose else "", kit)))


def coming(span: Span, following: Span | None) -> str:
    """What comes after a work span."""
    if following is None or following.cell is None:
        return THE_END
    if following.cell is span.cell:
        return side_words(following.side) or following.cell.rung.name
    return following.cell.rung.name


def side_words(side: Side) -> str:
    return SIDES[side]


def agenda(session: Session, timeline: Timeline) -> tuple[tuple[str, str], ...]:
    """Every block with moves: its name and what it holds, and how long it takes."""
    rows = []
    for block in session.blocks:
        if block.kind is BlockKind.ANNOUNCEMENT or not block.rounds:
            continue
        moves = max(len(each.cells) for each in block.rounds)
        held = f"{moves} moves" if len(block.rounds) == 1 else f"{len(block.rounds)} rounds of {moves} moves"
        length_ms = sum(span.duration_ms for span in timeline.spans if span.block is block)
        rows.append((f"{block.name}: {held}", f"{round(length_ms / 60_000)} min"))
    return tuple(rows)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
