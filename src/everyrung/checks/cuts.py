# ruff: noqa: ARG001 - every rule takes the session and the timeline, whichever it reads
"""The cut order: there is one, and it never eats the warm-up, the cool-down or one side."""

from collections.abc import Iterator

from everyrung.checks.places import listed_and, place
from everyrung.checks.tally import totals
from everyrung.terms.finding import Finding
from everyrung.terms.plan import Ref
from everyrung.terms.session import Session
from everyrung.terms.timeline import Timeline
from everyrung.terms.vocabulary import Severity
from everyrung.timing.refit import protected, without


def cut_order_missing(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """The plan says beforehand what goes when time runs out.

    Severity: note
    Limit: 1 place in cut_order
    Source: common practice, no source: decide before the class what to drop
    """
    if not session.cut_order:
        yield Finding(
            rule="cut-order-missing",
            severity=Severity.NOTE,
            where=session.where,  # a field that is not there has no line
            place="cut_order",
            measured="0 places in cut_order",
            limit="at least 1",
            source="common practice, no source: decide before the class what to drop",
            remedy='Write cut_order = ["block/round", …], the round or cell you would miss least first.',
        )


def cut_floor(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """Nothing in the cut order takes from the cool-down, or the warm-up below its floor.

    Severity: warning
    Limit: 0 places that are kept whatever the clock says
    Source: chosen, because the cool-down is never what gives way; warm-up floor as in warm-up-floor
    """
    for before, ref in _cuts(session):
        reason = protected(before, ref)
        if reason and ref.side is None:
            yield Finding(
                rule="cut-floor",
                severity=Severity.WARNING,
                where=session.place("cut_order"),
                place=f"cut_order: {place(ref)}",
                measured=f"{reason} (1 place that will not be cut)",
                limit="0 places that are kept whatever the clock says",
                source="chosen, because the cool-down is never what gives way; warm-up floor as in warm-up-floor",
                remedy=f'Take "{ref}" out of cut_order and name a round or cell of a main block instead.',
            )


def cut_sides(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """Each place in the cut order leaves both sides equal when it is gone.

    Severity: warning
    Limit: 0 moves that become unequal
    Source: common practice, no source: both sides get the same work
    """
    for before, ref in _cuts(session):
        if ref.side is not None:
            uneven, why = [ref.cell], f"it takes only the {ref.side}"
        else:
            uneven = sorted(_uneven(without(before, ref)) - _uneven(before))
            why = "the other side is worked elsewhere and stays"
        if uneven:
            yield Finding(
                rule="cut-sides",
                severity=Severity.WARNING,
                where=session.place("cut_order"),
                place=f"cut_order: {place(ref)}",
                measured=f"leaves {len(uneven)} move{'s' if len(uneven) > 1 else ''} unequal, "
                f"{listed_and(uneven)}: {why}",
                limit="0 moves that become unequal",
                source="common practice, no source: both sides get the same work",
                remedy=_both_sides(ref),
            )


def _both_sides(ref: Ref) -> str:
    if ref.side is not None:
        whole = Ref(block=ref.block, round=ref.round, cell=ref.cell)
        return f'Write "{whole}" in cut_order, so that both sides go together.'
    return f'Put the place with the other side right beside "{ref}" in cut_order, or cut another cell.'


def _cuts(session: Session) -> Iterator[tuple[Session, Ref]]:
    """Each place in the cut order, with the session that the places before it leave."""
    for ref in session.cut_order:
        yield session, ref
        if not protected(session, ref):
            session = without(session, ref)


def _uneven(session: Session) -> set[str]:
    return {move for move, sides in totals(session.cells).items() if not sides.equal}
