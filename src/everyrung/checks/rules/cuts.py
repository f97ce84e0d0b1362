"""The cut order: there is one, and it never eats the warm-up, the cool-down or one side."""

from collections.abc import Iterator

from everyrung.checks.cells import counted, key_words, listed_and
from everyrung.checks.rule import TIMELINE, rule
from everyrung.terms.enums import Severity
from everyrung.terms.finding import Finding, InCutOrder
from everyrung.terms.plan import Ref
from everyrung.terms.session import Session
from everyrung.terms.timeline import Timeline
from everyrung.timing.cut_order import cuts


@rule(TIMELINE)
def cut_order_missing(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """The plan says beforehand what goes when time runs out.

    Severity: note
    Limit: 1 place in the cut order
    Source: common practice, no source: decide before the class what to drop
    """
    if not session.cut_order:
        yield Finding(
            rule="cut-order-missing",
            severity=Severity.NOTE,
            where=session.where,  # a field that is not there has no line
            places=(InCutOrder(),),
            measured="0 places in the cut order",
            limit="at least 1",
            source="common practice, no source: decide before the class what to drop",
            remedy="Say beforehand what goes first, the round or set that you would miss least.",
            hint='Write cut_order = ["block/round", …].',
        )


@rule(TIMELINE)
def cut_floor(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """Nothing in the cut order takes the cool-down, the last main round, or the warm-up below its floor.

    Severity: warning
    Limit: 0 places that are kept whatever the clock says
    Source: chosen, because the cool-down is never what gives way; warm-up floor as in warm-up-floor
    """
    for cut in cuts(session):
        if cut.reason and cut.ref.side is None and not cut.uneven:
            yield Finding(
                rule="cut-floor",
                severity=Severity.WARNING,
                where=session.place("cut_order"),
                places=(InCutOrder(ref=cut.ref),),
                measured=f"{cut.reason} (1 place that will not be cut)",
                limit="0 places that are kept whatever the clock says",
                source="chosen, because the cool-down is never what gives way; warm-up floor as in warm-up-floor",
                remedy="Take it out of the cut order and name a round or set of a main block instead.",
                hint=f'Take "{cut.ref}" out of cut_order.',
            )


@rule(TIMELINE)
def cut_sides(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """Each place in the cut order leaves both sides equal when it is gone, by itself or with one after it.

    Severity: warning
    Limit: 0 moves that become unequal
    Source: common practice, no source: both sides get the same work
    """
    for cut in cuts(session):
        one_side = cut.ref.side is not None
        uneven = (cut.ref.cell,) if one_side else cut.uneven
        if not uneven:
            continue
        why = f"it takes only the {cut.ref.side}" if one_side else "the other side is worked elsewhere and stays"
        yield Finding(
            rule="cut-sides",
            severity=Severity.WARNING,
            where=session.place("cut_order"),
            places=(InCutOrder(ref=cut.ref),),
            measured=f"leaves {counted(len(uneven), 'move')} unequal, {listed_and(map(key_words, uneven))}: {why}",
            limit="0 moves that become unequal",
            source="common practice, no source: both sides get the same work",
            remedy=_both_sides(cut.ref),
            hint=_both_written(cut.ref),
        )


def _both_sides(ref: Ref) -> str:
    if ref.side is not None:
        return "Put the whole set into the cut order, so that both sides go together."
    return "Put the place with the other side right beside it in the cut order, or cut another set."


def _both_written(ref: Ref) -> str:
    if ref.side is not None:
        return f'Write "{Ref(block=ref.block, round=ref.round, cell=ref.cell)}" in cut_order.'
    return f'It is "{ref}" in cut_order.'
