"""Side debts: work that one side has had and the other is still owed."""

from dataclasses import dataclass

from everyrung.terms.enums import Side, Sidedness, SpanKind
from everyrung.terms.plan import Ref
from everyrung.terms.session import Cell, Session
from everyrung.terms.timeline import Span, Timeline
from everyrung.timing.tally import NOTHING, Sides, sides_of, totals


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
    found = [debt for cells in columns.values() for debt in _of_move(cells, work)]
    return tuple(sorted(found, key=lambda debt: debt.at_ms))


def sides_equal(session: Session) -> bool:
    """Whether every move is worked the same on both sides, over the whole session."""
    return all(sides.equal for sides in totals(session.cells).values())


def _of_move(cells: list[Cell], work: dict[Ref, list[Span]]) -> list[Debt]:
    found: list[Debt] = []
    so_far = NOTHING
    after: list[Sides] = []
    for cell in cells:
        so_far += sides_of(cell)
        after.append(so_far)
    for place, cell in enumerate(cells):
        own, total = sides_of(cell), after[place]
        if own.equal or total.equal or own.owed is not total.owed:
            continue
        paid = next((at for at in range(place + 1, len(cells)) if after[at].equal), None)
        at_ms, end_ms = _ahead(work[cell.ref], total.owed.other)
        found.append(
            Debt(
                at_ms=at_ms,
                end_ms=end_ms,
                side=total.owed,
                amount=total.debt,
                cell=cell,
                paid_ms=None if paid is None else work[cells[paid].ref][-1].end_ms,
            )
        )
    return found


def _ahead(spans: list[Span], side: Side) -> tuple[int, int]:
    """The bout of the side that ran ahead; of an alternating bout, its last repetition."""
    own = [span for span in spans if span.side is side]
    if own:
        return own[-1].at_ms, own[-1].end_ms
    last = spans[-1]
    rep_ms = last.bout.rep_ms if last.bout else 0
    return max(last.at_ms, last.end_ms - rep_ms), last.end_ms
