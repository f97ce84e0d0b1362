"""The score in words: one row a span, for those who cannot see the picture."""

from dataclasses import dataclass

from everyrung.score.lanes import Score, cell_numbers
from everyrung.terms.enums import SpanKind
from everyrung.terms.session import Session
from everyrung.terms.timeline import Span, Timeline
from everyrung.terms.units import clock_text


@dataclass(frozen=True, slots=True, kw_only=True)
class ScoreRow:
    time: str
    block: str
    round: str
    move: str
    side: str
    what: str


def score_rows(session: Session, timeline: Timeline) -> tuple[ScoreRow, ...]:
    """Every span of the timeline in words, in order."""
    numbers = cell_numbers(session)
    return tuple(
        ScoreRow(
            time=clock_text(span.at_ms),
            block=span.block.name,
            round=span.round.name if span.round else "",
            move=f"{numbers[span.cell.ref]} {span.cell.rung.name}" if span.cell else "",
            side=str(span.side) if span.kind is SpanKind.WORK else "",
            what=_what(span),
        )
        for span in timeline.spans
    )


def score_summary(score: Score) -> str:
    """What the picture shows, in two or three sentences."""
    blocks = "; ".join(f"{frame.label} from {clock_text(frame.at_ms)}" for frame in score.blocks)
    debts = dict.fromkeys(f"{debt.cell.move.name}, {debt.words}" for debt in score.debts if debt.paid_ms is None)
    sides = "Both sides are worked equally." if score.sides_equal else f"Sides not equal: {'; '.join(debts)}."
    return f"The session on one time axis of {clock_text(score.total_ms)}, in lanes. {blocks}. {sides}"


def _what(span: Span) -> str:
    """'work, 8 reps, 0:32' and the like, with body position and kit where work is done."""
    parts = [str(span.kind)]
    if span.bout is not None:
        parts.append(f"{span.bout.reps} reps" if span.bout.reps else "hold")
    parts.append(clock_text(span.duration_ms))
    if span.bout is not None:
        parts.append(str(span.position))
        parts.extend(held.label for held in span.kit)
    elif span.text and (span.cell is None or span.text != span.cell.rung.name):
        parts.append(span.text)
    return ", ".join(parts)
