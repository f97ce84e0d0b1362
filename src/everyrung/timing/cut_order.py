"""The least a warm-up and a cool-down may take, and how long they keep people moving.

Taking places of the cut order out of a session, so that floors hold and sides stay equal.
"""

from collections.abc import Iterable, Iterator
from dataclasses import replace

from everyrung.terms.enums import BlockKind, SpanKind
from everyrung.terms.frozen import dataclass
from everyrung.terms.plan import Ref
from everyrung.terms.session import Block, Round, Session
from everyrung.terms.timeline import Timeline
from everyrung.terms.units import clock_text
from everyrung.timing.side_totals import totals
from everyrung.timing.timeline import build_timeline

FLOOR_MS = 300_000  # 5 minutes: warm-up and cool-down of 5-10 min (ACSM guidelines, 11th ed., from memory)
FLOOR_SHARE = 0.25  # chosen, because below 20 minutes two floors of 5 would take more than half of the slot


def floor_ms(slot_ms: int) -> int:
    """The least a warm-up, or a cool-down, may take in a slot of `slot_ms`, ms.

    >>> floor_ms(30 * 60_000), floor_ms(10 * 60_000)
    (300000, 150000)
    """
    return min(FLOOR_MS, round(slot_ms * FLOOR_SHARE))


def moving_ms(session: Session, timeline: Timeline, kind: BlockKind) -> int:
    """Time in blocks of one kind, ms, without what is only said there and without its rests: what counts against
    `floor_ms`.
    """
    names = {block.name for block in session.of_kind(kind)}
    still = (SpanKind.ANNOUNCE, SpanKind.REST, SpanKind.ROUND_REST, SpanKind.WAIT)
    return sum(span.duration_ms for span in timeline.spans if span.block.name in names and span.kind not in still)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """One step of the cut order: the place `ref` with all that go `together` with it, or else the `reason` why it may
    not go.

    `before` is the session that the steps before it leave; `uneven` names the moves that hold the place back.
    """

    ref: Ref
    before: Session
    reason: str = ""
    together: tuple[Ref, ...] = ()
    uneven: tuple[str, ...] = ()


def cuts(session: Session) -> Iterator[Cut]:
    """The steps of the cut order, each taken from what the one before it leaves; places that are gone by then are
    passed over.

    >>> from everyrung import analyze
    >>> session = analyze("examples/boathouse-30.toml").session
    >>> [str(cut.ref) for cut in cuts(session)][:3]
    ['Main/Three/hinge', 'Main/Three/lunge', 'Main/Three/curl']
    """
    waiting = list(session.cut_order)
    while waiting:
        ref = waiting.pop(0)
        if not present(session, ref) and ref.side is None:
            continue  # gone already, by an earlier fit or within a larger place
        if reason := _kept_because(session, ref):
            yield Cut(ref=ref, before=session, reason=reason)
            continue
        uneven = newly_uneven(session, without(session, (ref,)))
        together = _with_partner(session, ref, waiting) if uneven else (ref,)
        if not together:
            why = "alone it would leave the sides unequal, since the other side is worked elsewhere"
            yield Cut(ref=ref, before=session, reason=why, uneven=uneven)
            continue
        yield Cut(ref=ref, before=session, together=together)
        waiting = [each for each in waiting if each not in together]
        session = without(session, together)


def _kept_because(session: Session, ref: Ref) -> str:
    block = next((block for block in session.blocks if block.name == ref.block), None)
    if block is None:
        return ""
    if block.kind is BlockKind.COOL_DOWN:
        return "the cool-down is never what gives way"
    if ref.side is not None:
        return "cutting one side would leave the sides unequal"
    smaller = without(session, (ref,))
    if block.kind is BlockKind.MAIN and not smaller.of_kind(BlockKind.MAIN):
        return "nothing of the main part would be left"
    if block.kind is BlockKind.WARM_UP:
        least_ms = floor_ms(session.slot_ms)
        if moving_ms(smaller, build_timeline(smaller), BlockKind.WARM_UP) < least_ms:
            return f"the warm-up would fall under {clock_text(least_ms)}"
    return ""


def _with_partner(session: Session, ref: Ref, later: list[Ref]) -> tuple[Ref, ...]:
    """The place with the next one in the order that evens the sides again; nothing when there is none."""
    for other in later:
        both = (ref, other)
        if not _kept_because(session, other) and not newly_uneven(session, without(session, both)):
            return both
    return ()


def newly_uneven(before: Session, after: Session) -> tuple[str, ...]:
    """The moves whose two sides did equal work before, and no longer do; in alphabetical order."""
    return tuple(sorted(_uneven(after) - _uneven(before)))


def _uneven(session: Session) -> set[str]:
    return {move for move, sides in totals(session.cells).items() if not sides.equal}


def present(session: Session, ref: Ref) -> bool:
    """Whether a block, round or cell is still in the session; of a side of a cell, whether the cell is."""
    return without(session, (ref,)).blocks != session.blocks


def without(session: Session, refs: Iterable[Ref]) -> Session:
    """The session without some blocks, rounds or cells; rounds and blocks left empty go too."""
    for ref in refs:
        blocks = (_block_without(block, ref) if block.name == ref.block else block for block in session.blocks)
        session = replace(session, blocks=tuple(block for block in blocks if block is not None))
    return session


def _block_without(block: Block, ref: Ref) -> Block | None:
    rounds = [_round_without(each, ref) if each.name == ref.round else each for each in block.rounds]
    left = tuple(each for each in rounds if each is not None)
    return replace(block, rounds=left) if ref.round and left else None


def _round_without(each: Round, ref: Ref) -> Round | None:
    cells = tuple(cell for cell in each.cells if cell.ref.cell != ref.cell)
    return replace(each, cells=cells) if ref.cell and cells else None
