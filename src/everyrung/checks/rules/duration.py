"""Does the session fill its slot, with a warm-up and a cool-down long enough."""

from collections.abc import Iterator

from everyrung.checks.rule import TIMELINE, Rule, rule
from everyrung.terms.enums import BlockKind, Severity
from everyrung.terms.errors import Where
from everyrung.terms.finding import Finding, OfKind, WholeSession
from everyrung.terms.session import Session
from everyrung.terms.timeline import Timeline
from everyrung.terms.units import clock_text
from everyrung.timing.cut_order import floor_ms, moving_ms
from everyrung.timing.refit import UNDERFILL_SHARE, refit


@rule(TIMELINE)
def slot_overrun(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """Everything added up takes no longer than the slot.

    Severity: error
    Limit: the slot of the plan
    Source: the plan's own slot
    """
    over_ms = timeline.total_ms - session.slot_ms
    if over_ms > 0:
        yield Finding(
            rule=slot_overrun.id,
            severity=Severity.ERROR,
            where=session.place("slot_minutes"),
            places=(WholeSession(),),
            measured=f"{clock_text(timeline.total_ms)} in all, {clock_text(over_ms)} over: {_by_kind(timeline)}",
            limit=f"{clock_text(session.slot_ms)}, the slot",
            source=session.slot_source,
            remedy=_shorter(session, timeline, over_ms),
            hint=f"everyrung check --minutes {session.slot_ms // 60_000} cuts."
            if session.cut_order
            else "It is cut_order.",
        )


@rule(TIMELINE)
def slot_underfilled(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """The slot is filled to within a twentieth.

    Severity: warning
    Limit: 95 % of the slot
    Source: chosen, because the clock's constants are no better known than 5 %
    """
    least_ms = round(session.slot_ms * (1 - UNDERFILL_SHARE))
    if timeline.total_ms < least_ms:
        short_ms = session.slot_ms - timeline.total_ms
        yield Finding(
            rule=slot_underfilled.id,
            severity=Severity.WARNING,
            where=session.place("slot_minutes"),
            places=(WholeSession(),),
            measured=f"{clock_text(timeline.total_ms)} in all, {clock_text(short_ms)} left empty",
            limit=f"at least {clock_text(least_ms)}, {1 - UNDERFILL_SHARE:.0%} of the slot",
            source=f"chosen, because the clock's constants are no better known than {UNDERFILL_SHARE:.0%}",
            remedy=_longer(session, timeline, short_ms),
            hint=f"everyrung check --minutes {session.slot_ms // 60_000} does so." if session.reserve else "",
        )


@rule(TIMELINE)
def warm_up_floor(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """There is a warm-up of 5 minutes or more; talk and rests are not counted.

    Severity: error when there is none, warning when it is short
    Limit: 5:00, but never more than a quarter of the slot
    Source: ACSM guidelines, 11th ed., from memory: warm-up and cool-down of 5 to 10 min
    """
    yield from _floor(warm_up_floor, session, timeline, BlockKind.WARM_UP)


@rule(TIMELINE)
def cool_down_floor(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """There is a cool-down of 5 minutes or more; talk and rests are not counted.

    Severity: error when there is none, warning when it is short
    Limit: 5:00, but never more than a quarter of the slot
    Source: ACSM guidelines, 11th ed., from memory: warm-up and cool-down of 5 to 10 min
    """
    yield from _floor(cool_down_floor, session, timeline, BlockKind.COOL_DOWN)


def _floor(one: Rule[Timeline], session: Session, timeline: Timeline, kind: BlockKind) -> Iterator[Finding]:
    moves_ms, least_ms = moving_ms(session, timeline, kind), floor_ms(session.slot_ms)
    if moves_ms >= least_ms:
        return
    short, hint = clock_text(least_ms - moves_ms), ""
    if moves_ms:
        value = f"{clock_text(moves_ms)} of {kind}, {short} short"
        remedy = f"Lengthen the doses of the {kind}, or add a move to it: {short} more."
    else:
        value = f"0:00: no {kind} with a move in it"
        remedy = f"Add a {kind} that takes {short} or more."
        hint = f'It is a [[block]] of kind = "{kind}".'
    yield Finding(
        rule=one.id,
        severity=Severity.WARNING if moves_ms else Severity.ERROR,
        where=_block_where(session, kind),
        places=(OfKind(kind=kind),),
        measured=value,
        limit=f"at least {clock_text(least_ms)} in a slot of {clock_text(session.slot_ms)}",
        source=one.source,
        remedy=remedy,
        hint=hint,
    )


def _block_where(session: Session, kind: BlockKind) -> Where:
    return next((block.where for block in session.of_kind(kind)), session.where)


def _by_kind(timeline: Timeline) -> str:
    return ", ".join(f"{kind} {clock_text(spent_ms)}" for kind, spent_ms in timeline.by_kind.items())


def _shorter(session: Session, timeline: Timeline, over_ms: int) -> str:
    fit = refit(session, session.slot_ms, timeline=timeline)
    if not fit.lost:
        why = "nothing more in the cut order can go" if session.cut_order else "there is no cut order yet"
        return f"Take out {clock_text(over_ms)}: {why}, so choose what goes first."
    cuts = ", ".join(map(str, fit.lost))
    if fit.after_ms > session.slot_ms:
        still = clock_text(fit.after_ms - session.slot_ms)
        return f"The cut order takes {cuts} and it is still {still} over: add sets to it or drop a move."
    return f"Cut {cuts}, as the cut order says: that makes {clock_text(fit.after_ms)}."


def _longer(session: Session, timeline: Timeline, short_ms: int) -> str:
    fit = refit(session, session.slot_ms, timeline=timeline)
    if fit.gained:
        return f"Take in the reserve: {', '.join(map(str, fit.gained))}, which makes {clock_text(fit.after_ms)}."
    in_already = bool(session.of_kind(BlockKind.RESERVE))
    hint = "the reserve is too long for that" if session.reserve else "there is no reserve block"
    hint = "the reserve is taken in already" if in_already and not session.reserve else hint
    return f"Add a round or lengthen doses by {clock_text(short_ms)}; {hint}."
