"""The least a warm-up and a cool-down may take, and how long they keep people moving."""

from everyrung.terms.enums import BlockKind, SpanKind
from everyrung.terms.session import Session
from everyrung.terms.timeline import Timeline

FLOOR_MS = 300_000  # 5 minutes: warm-up and cool-down of 5-10 min (ACSM guidelines, 11th ed., from memory)
FLOOR_SHARE = 0.25  # chosen, because below 20 minutes two floors of 5 would take more than half of the slot


def floor_ms(slot_ms: int) -> int:
    """The least a warm-up, or a cool-down, may take in a slot of `slot_ms`."""
    return min(FLOOR_MS, round(slot_ms * FLOOR_SHARE))


def moving_ms(session: Session, timeline: Timeline, kind: BlockKind) -> int:
    """Milliseconds of one kind of block without what is only said in it and without its rests."""
    names = {block.name for block in session.of_kind(kind)}
    still = (SpanKind.ANNOUNCE, SpanKind.REST, SpanKind.ROUND_REST)
    return sum(span.duration_ms for span in timeline.spans if span.block.name in names and span.kind not in still)
