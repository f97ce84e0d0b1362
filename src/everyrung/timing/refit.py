"""Fitting a session to another slot by the coach's cut order: whole sets go, sides stay equal.

The warm-up floor and the cool-down never give way. A longer slot takes the reserve in.
"""

from dataclasses import dataclass, replace

from everyrung.terms.amount import clock_text
from everyrung.terms.plan import Ref
from everyrung.terms.session import Block, Round, Session
from everyrung.terms.vocabulary import BlockKind
from everyrung.timing.floors import floor_ms, moving_ms
from everyrung.timing.timeline import build_timeline

UNDERFILL_SHARE = 0.05  # chosen, because the clock's own constants are no better known than this


@dataclass(frozen=True, slots=True, kw_only=True)
class Refit:
    """The session for another slot: what was lost or taken in, in order, and why it does not fit if it doesn't."""

    session: Session
    slot_ms: int
    before_ms: int
    after_ms: int
    lost: tuple[str, ...]
    kept: tuple[str, ...]
    gained: tuple[str, ...]
    problem: str = ""


def refit(session: Session, slot_ms: int) -> Refit:
    """The session changed as little as possible to fit `slot_ms`; `problem` says why when it cannot."""
    session = replace(session, slot_ms=slot_ms)
    before_ms = build_timeline(session).total_ms
    fitted, lost, kept = _cut(session, slot_ms)
    fitted, gained = _grow(fitted, slot_ms)
    after_ms = build_timeline(fitted).total_ms
    return Refit(
        session=fitted,
        slot_ms=slot_ms,
        before_ms=before_ms,
        after_ms=after_ms,
        lost=lost,
        kept=kept,
        gained=gained,
        problem=_problem(fitted, slot_ms, after_ms, cut=bool(lost)),
    )


def _cut(session: Session, slot_ms: int) -> tuple[Session, tuple[str, ...], tuple[str, ...]]:
    """Takes away in the cut order until it fits, then puts back what fits after all.

    What may not go is kept, with the reason.
    """
    cut: list[tuple[Ref, int]] = []
    kept: list[str] = []
    smaller, total_ms = session, build_timeline(session).total_ms
    for ref in session.cut_order:
        if total_ms <= slot_ms:
            break
        if reason := protected(smaller, ref):
            kept.append(f"{ref}: {reason}")
            continue
        smaller = without(smaller, ref)
        after_ms = build_timeline(smaller).total_ms
        if after_ms != total_ms:
            cut.append((ref, total_ms - after_ms))
        total_ms = after_ms
    cut = _put_back(session, slot_ms, cut, slot_ms - total_ms)
    fitted = _without_all(session, [ref for ref, _ in cut])
    left = tuple(ref for ref in session.cut_order if without(fitted, ref).blocks != fitted.blocks)
    lost = tuple(f"{ref} ({clock_text(saved_ms)} saved)" for ref, saved_ms in cut)
    return replace(fitted, cut_order=left), lost, tuple(kept)


def _put_back(session: Session, slot_ms: int, cut: list[tuple[Ref, int]], spare_ms: int) -> list[tuple[Ref, int]]:
    """Leaves out of `cut` what is not needed; what the coach would part with last comes back first."""
    for each in cut[::-1]:
        rest = [other for other in cut if other != each]
        if each[1] > spare_ms and not _inside_another(each[0], [ref for ref, _ in rest]):
            continue  # it cannot fit: saves laying a timeline
        total_ms = build_timeline(_without_all(session, [ref for ref, _ in rest])).total_ms
        if total_ms <= slot_ms:
            cut, spare_ms = rest, slot_ms - total_ms
    return cut


def _inside_another(ref: Ref, others: list[Ref]) -> bool:
    return any(other.block == ref.block and other.round in ("", ref.round) and not other.cell for other in others)


def _without_all(session: Session, refs: list[Ref]) -> Session:
    for ref in refs:
        session = without(session, ref)
    return session


def protected(session: Session, ref: Ref) -> str:
    """Why a reference in the cut order may not be cut, or nothing."""
    block = next((block for block in session.blocks if block.name == ref.block), None)
    if block is None:
        return ""
    if block.kind is BlockKind.COOL_DOWN:
        return "the cool-down is never what gives way"
    if ref.side is not None:
        return "cutting one side would leave the sides unequal"
    if block.kind is BlockKind.WARM_UP:
        smaller, least_ms = without(session, ref), floor_ms(session.slot_ms)
        if moving_ms(smaller, build_timeline(smaller), BlockKind.WARM_UP) < least_ms:
            return f"the warm-up would fall under {clock_text(least_ms)}"
    return ""


def without(session: Session, ref: Ref) -> Session:
    """The session without one block, round or cell; rounds and blocks left empty go too."""
    blocks = []
    for block in session.blocks:
        if block.name != ref.block:
            blocks.append(block)
        elif ref.round:
            rounds = _without_cells(block, ref)
            if rounds:
                blocks.append(replace(block, rounds=rounds))
    return replace(session, blocks=tuple(blocks))


def _without_cells(block: Block, ref: Ref) -> tuple[Round, ...]:
    rounds = []
    for each in block.rounds:
        if each.name != ref.round:
            rounds.append(each)
        elif ref.cell:
            cells = tuple(cell for cell in each.cells if cell.ref.cell != ref.cell)
            if cells:
                rounds.append(replace(each, cells=cells))
    return tuple(rounds)


def _grow(session: Session, slot_ms: int) -> tuple[Session, tuple[str, ...]]:
    """Takes reserve blocks in, before the cool-down, while they fit."""
    gained: list[str] = []
    left = list(session.reserve)
    while left:
        block = left.pop(0)
        larger = _with_block(session, block)
        larger = replace(larger, reserve=tuple(left))
        total_ms = build_timeline(larger).total_ms
        added_ms = total_ms - build_timeline(session).total_ms
        if total_ms <= slot_ms:
            gained.append(f"{block.name} ({clock_text(added_ms)} more)")
            session = larger
    return session, tuple(gained)


def _with_block(session: Session, block: Block) -> Session:
    kinds = [each.kind for each in session.blocks]
    place = kinds.index(BlockKind.COOL_DOWN) if BlockKind.COOL_DOWN in kinds else len(kinds)
    return replace(session, blocks=(*session.blocks[:place], block, *session.blocks[place:]))


def _problem(session: Session, slot_ms: int, after_ms: int, *, cut: bool) -> str:
    if after_ms > slot_ms:
        over = clock_text(after_ms - slot_ms)
        mains = sum(1 for block in session.of_kind(BlockKind.MAIN) for _ in block.rounds)
        moves = len({cell.ref.cell for block in session.of_kind(BlockKind.MAIN) for cell in block.cells})
        return (
            f"it is still {over} over after everything in the cut order that may go has gone: "
            f"{mains} rounds of up to {moves} moves do not fit into {clock_text(slot_ms)}; "
            "add rounds or cells to cut_order, or choose fewer moves"
        )
    if after_ms < slot_ms * (1 - UNDERFILL_SHARE) and not cut:
        short = clock_text(slot_ms - after_ms)
        return f"it is {short} too short with the reserve taken in where it fits; add a round or a reserve block"
    return ""
