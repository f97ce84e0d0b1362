"""The session as a whole: its patterns, its level, its reserve, and what goes when time runs out."""

from collections.abc import Iterator

from everyrung.checks.cells import and_list, count_words, key_words, refs
from everyrung.checks.rule import TIMELINE, rule
from everyrung.checks.rules.training import TRAINED
from everyrung.terms.enums import BlockKind, Level, Pattern, Severity
from everyrung.terms.errors import or_list
from everyrung.terms.finding import Finding, InCutOrder, OfKind, WholeSession
from everyrung.terms.plan import Ref
from everyrung.terms.session import Session
from everyrung.terms.timeline import Timeline
from everyrung.timing.cut_order import cuts

LEAST_PATTERNS = 4  # of 7, twice a week in 3 or 4 sessions
HIGHEST_GRADE = {Level.GENTLE: 2, Level.MODERATE: 3, Level.HARD: 5}
FEW_ABOVE_SHARE = 1 / 6  # chosen, because a last round may touch the next grade: everyone is offered an easier rung
MOST_ABOVE_SHARE = 0.25  # chosen, because one move in four above its label is no longer an exception
FAR_ABOVE = 2  # chosen, because two grades apart is another kind of session


@rule(TIMELINE)
def pattern_balance(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """The main blocks have so many patterns that a week of such sessions has room for all of them.

    Patterns: knee, hip, bridge, push, pull, overhead, trunk. One that is half conditioning is for heart and lungs.
    Severity: note
    Limit: 4 of 7 patterns
    Source: chosen, because each pattern comes twice in a week of three or four sessions (ACSM 2009: 2 to 3 days)
    """
    blocks = session.of_kind(BlockKind.MAIN)
    cells = session.cells_of(BlockKind.MAIN)
    lacking = [pattern for pattern in TRAINED if all(cell.move.pattern is not pattern for cell in cells)]
    for_breath = sum(cell.move.pattern is Pattern.CONDITIONING for cell in cells) >= len(cells) / 2
    if not for_breath and len(TRAINED) - len(lacking) < LEAST_PATTERNS:
        yield Finding(
            rule=pattern_balance.id,
            severity=Severity.NOTE,
            where=blocks[0].where,
            places=(OfKind(kind=BlockKind.MAIN),),
            measured=f"{len(TRAINED) - len(lacking)} of {len(TRAINED)} patterns: no {or_list(lacking)}",
            limit=f"{LEAST_PATTERNS} of {len(TRAINED)} patterns, so that the week has room for all",
            source=pattern_balance.source,
            remedy=f"Add a move of pattern {lacking[0]}, or give the rest to the week's other sessions.",
        )


@rule(TIMELINE)
def reserve_missing(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """There is a reserve block for a session that runs short.

    Severity: warning
    Limit: 1 reserve block
    Source: common practice, no source: something at hand when time is left
    """
    if not any(block.rounds for block in (*session.reserve, *session.of_kind(BlockKind.RESERVE))):
        yield Finding(
            rule=reserve_missing.id,
            severity=Severity.WARNING,
            where=session.place("block"),
            places=(WholeSession(),),
            measured="0 reserve blocks with a move in them",
            limit="at least 1 reserve block",
            source=reserve_missing.source,
            remedy="Add a reserve with one or two moves that need no other kit.",
            hint='It is a [[block]] of kind = "reserve".',
        )


@rule(TIMELINE)
def level_label(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """The rungs of the main blocks are no harder than the level the session is offered under.

    Severity: error when more than a quarter of the cells are above, or one by 2 grades; else warning
    Limit: grade 2 for gentle, 3 for moderate, 5 for hard; one cell in six may be one grade above
    Source: chosen, because the reference bodies do grades 1-2 below two fifths of the hardest joint's strength, grade
        3 below three fifths
    """
    highest = HIGHEST_GRADE[session.level]
    cells = session.cells_of(BlockKind.MAIN)
    above = [cell for cell in cells if cell.rung.grade > highest]
    top = max((cell.rung.grade for cell in above), default=0)
    if len(above) <= FEW_ABOVE_SHARE * len(cells) and top < highest + FAR_ABOVE:
        return
    wrong = len(above) > MOST_ABOVE_SHARE * len(cells) or top >= highest + FAR_ABOVE
    fitting = next(level for level in Level if HIGHEST_GRADE[level] >= top)
    yield Finding(
        rule=level_label.id,
        severity=Severity.ERROR if wrong else Severity.WARNING,
        where=above[0].where,
        places=refs(above),
        measured=f"{len(above)} of {count_words(len(cells), 'main set')} above grade {highest}, "
        f"the top one grade {top}",
        limit=f"grade {highest} at most for a session called {session.level}, one set in six a grade above",
        source=level_label.source,
        remedy=f"Lead lower rungs there, or offer it as {fitting}.",
        hint=f'That is level = "{fitting}".',
    )


@rule(TIMELINE)
def cut_order_missing(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """The plan says beforehand what goes when time runs out.

    Severity: note
    Limit: 1 place in the cut order
    Source: common practice, no source: decide before the class what to drop
    """
    if not session.cut_order:
        yield Finding(
            rule=cut_order_missing.id,
            severity=Severity.NOTE,
            where=session.where,  # a field that is not there has no line
            places=(InCutOrder(),),
            measured="0 places in the cut order",
            limit="at least 1",
            source=cut_order_missing.source,
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
                rule=cut_floor.id,
                severity=Severity.WARNING,
                where=session.place("cut_order"),
                places=(InCutOrder(ref=cut.ref),),
                measured=f"{cut.reason} (1 place that will not be cut)",
                limit="0 places that are kept whatever the clock says",
                source=cut_floor.source,
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
            rule=cut_sides.id,
            severity=Severity.WARNING,
            where=session.place("cut_order"),
            places=(InCutOrder(ref=cut.ref),),
            measured=f"leaves {count_words(len(uneven), 'move')} unequal, {and_list(map(key_words, uneven))}: {why}",
            limit="0 moves that become unequal",
            source=cut_sides.source,
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
