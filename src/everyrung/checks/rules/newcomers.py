"""First-timers: how much deep bending at the knee, and a rung low enough to start on."""

from collections.abc import Iterator

from everyrung.checks.cells import gathered, refs
from everyrung.checks.rule import TIMELINE, rule
from everyrung.terms.enums import BlockKind, Caution, OptionKind, Severity, Sidedness
from everyrung.terms.finding import Finding
from everyrung.terms.session import Cell, Session
from everyrung.terms.timeline import Timeline
from everyrung.timing.side_totals import sides_of

MOST_KNEE_BENDS = 36  # 3 sets of 12, the top of the novice range (ACSM 2009)
STRONG_GRADE = 4  # chosen, because the library calls grade 4 strong work
FIRST_GRADE = 2  # chosen, because grade 2 is the highest that the library calls easy


@rule(TIMELINE)
def newcomer_knee_bends(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """First-timers do at most 36 deep knee bends a leg over the rounds they are led through.

    Repetitions of an alternating rung count half for each leg.
    Severity: warning
    Limit: 36 repetitions a leg
    Source: chosen, because it is 3 sets of 12, the top of the novice range (ACSM 2009)
    """
    cells = [cell for cell in _newcomer_cells(session) if Caution.DEEP_KNEE in cell.rung.cautions]
    legs = [_reps_a_leg(cell) for cell in cells]
    most = max(sum(left for left, _ in legs), sum(right for _, right in legs))
    if most > MOST_KNEE_BENDS:
        over = most - MOST_KNEE_BENDS
        yield Finding(
            rule="newcomer-knee-bends",
            severity=Severity.WARNING,
            where=cells[0].where,
            places=refs(cells),
            measured=f"{most} deep knee bends a leg in {session.newcomer_rounds} rounds for first-timers",
            limit=f"at most {MOST_KNEE_BENDS} a leg",
            source="chosen, because it is 3 sets of 12, the top of the novice range (ACSM 2009)",
            remedy=f"Take {over} repetition{'s' if over > 1 else ''} a leg out, lead a shallower rung, "
            f"or lead first-timers through fewer rounds than {session.newcomer_rounds}.",
            hint="Rounds for first-timers are newcomer_rounds.",
        )


@rule(TIMELINE)
def newcomer_rung(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """Where first-timers are led through strong work, the easier option shown is of grade 2 or lower.

    Severity: warning
    Limit: an easier option of grade 2 beside a rung of grade 4 or 5
    Source: chosen, because the library calls grade 4 strong, and grade 2 is the highest it calls easy
    """
    troubles = ((cell, cell.rung.grade) for cell in _newcomer_cells(session) if _too_high(cell))
    for cells, grade in gathered(troubles):
        easier = cells[0].option(OptionKind.EASIER)
        shown = f"{easier.rung.name!r}, grade {easier.rung.grade}" if easier else "missing"
        low = [rung for rung in cells[0].move.ladder if rung.grade <= FIRST_GRADE]
        yield Finding(
            rule="newcomer-rung",
            severity=Severity.WARNING,
            where=cells[0].where,
            places=refs(cells),
            measured=f"{cells[0].rung.name!r} is grade {grade} and its easier option is {shown}",
            limit=f"an easier option of grade {FIRST_GRADE} or lower while first-timers take part",
            source="chosen, because the library calls grade 4 strong, and grade 2 is the highest it calls easy",
            remedy=f"Choose {low[-1].name if low else 'a supported rung'} as its easier option, "
            f"or keep this rung for rounds after {session.newcomer_rounds}.",
            hint=f"Set options.easier of {cells[0].ref.cell} to {low[-1].key if low else 'it'}.",
        )


def _newcomer_cells(session: Session) -> Iterator[Cell]:
    """The main cells that first-timers are led through; none when no first-timer comes."""
    rounds = session.newcomer_rounds if session.who.newcomers else 0
    for block in session.of_kind(BlockKind.MAIN):
        for each in block.rounds[:rounds]:
            yield from each.cells


def _reps_a_leg(cell: Cell) -> tuple[int, int]:
    if cell.rung.form.sides is Sidedness.BOTH:
        return cell.bouts[0].reps, cell.bouts[0].reps
    sides = sides_of(cell)
    return sides.left.reps, sides.right.reps


def _too_high(cell: Cell) -> bool:
    easier = cell.option(OptionKind.EASIER)
    low_enough = easier is not None and easier.rung.grade <= FIRST_GRADE
    return cell.rung.grade >= STRONG_GRADE and not low_enough
