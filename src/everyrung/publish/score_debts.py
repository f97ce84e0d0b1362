"""Side debts: work that one side has had and the other is still owed."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from everyrung.terms.amount import clock_text
from everyrung.terms.plan import Ref
from everyrung.terms.session import Cell, Session
from everyrung.terms.timeline import Span, Timeline
from everyrung.terms.vocabulary import Side, Sidedness, SpanKind


@dataclass(frozen=True, slots=True, kw_only=True)
class Debt:
    """`side` (the participant's) is owed `amount`, repetitions or milliseconds, from the end of a cell on.

    `at_ms` to `end_ms` is the other side's bout that ran ahead; `paid_ms` is when the debt is settled, if ever.
    """

    at_ms: int
    end_ms: int
    side: Side
    amount: int
    in_reps: bool
    move: str
    cell: Cell
    paid_ms: int | None = None

    @property
    def words(self) -> str:
        amount = f"{self.amount} reps" if self.in_reps else clock_text(self.amount)
        return f"{self.side} owed {amount}"


def side_debts(session: Session, timeline: Timeline) -> tuple[Debt, ...]:
    """Every debt of the session, in the order of the clock; one that is settled later says when."""
    open_debts: list[Debt] = []
    done: list[Debt] = []
    work: dict[Ref, list[Span]] = {}
    for span in timeline.spans:
        if span.cell and span.kind is SpanKind.WORK:
            work.setdefault(span.cell.ref, []).append(span)
    for cell in session.cells:
        for debt in _of_cell(cell, work.get(cell.ref, [])):
            rest = debt
            for earlier in [each for each in open_debts if _settles(debt, each)]:
                paid = min(rest.amount, earlier.amount)
                open_debts.remove(earlier)
                if earlier.amount > paid:
                    open_debts.append(replace(earlier, amount=earlier.amount - paid))
                else:
                    done.append(replace(earlier, paid_ms=debt.end_ms))
                rest = replace(rest, amount=rest.amount - paid)
                if not rest.amount:
                    break
            if rest.amount:
                open_debts.append(rest)
    return tuple(sorted([*done, *open_debts], key=lambda debt: (debt.at_ms, debt.side)))


def _settles(debt: Debt, earlier: Debt) -> bool:
    same = (debt.move, debt.in_reps) == (earlier.move, earlier.in_reps)
    return same and debt.side is earlier.side.other


def _of_cell(cell: Cell, spans: list[Span]) -> Iterator[Debt]:
    """What a cell leaves one side ahead by: in repetitions where they are counted, else in time."""
    for in_reps in (True, False):
        shares = {Side.LEFT: 0, Side.RIGHT: 0}
        last: dict[Side, Span] = {}
        for span in spans:
            if span.bout is None or (span.bout.reps > 0) is not in_reps:
                continue
            for side, amount in _shares(span, in_reps).items():
                shares[side] += amount
                last[side] = span
        ahead = Side.LEFT if shares[Side.LEFT] > shares[Side.RIGHT] else Side.RIGHT
        if amount := abs(shares[Side.LEFT] - shares[Side.RIGHT]):
            span = last[ahead]
            yield Debt(
                at_ms=span.at_ms,
                end_ms=span.end_ms,
                side=ahead.other,
                amount=amount,
                in_reps=in_reps,
                move=cell.rung.form.move,
                cell=cell,
            )


def _shares(span: Span, in_reps: bool) -> dict[Side, int]:
    assert span.bout is not None and span.cell is not None
    amount = span.bout.reps if in_reps else span.bout.duration_ms
    if span.bout.side is not Side.BOTH:
        return {span.bout.side: amount}
    if in_reps and span.cell.rung.form.sides is Sidedness.ALTERNATING:
        return {Side.LEFT: (amount + 1) // 2, Side.RIGHT: amount // 2}
    return {}
