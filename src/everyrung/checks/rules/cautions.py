"""People who need another rung: cautions and limits, and first-timers."""

from collections.abc import Iterator, Mapping

from everyrung.checks.cells import count_words, every_cell, group_by_column, move_words, refs
from everyrung.checks.rule import TIMELINE, rule
from everyrung.moves.alternatives import alternatives
from everyrung.moves.library import standard_library
from everyrung.plan.bouts import Kit, lacking
from everyrung.plan.doses import NOVICE_REPS
from everyrung.terms.enums import BlockKind, Caution, CueKind, OptionKind, Severity, Sidedness
from everyrung.terms.finding import Finding, name_list
from everyrung.terms.move import EASY_GRADE, Rung
from everyrung.terms.session import Cell, Session
from everyrung.terms.timeline import Timeline
from everyrung.timing.side_totals import sides_of

WITH_A_WAY_ROUND = tuple(caution for caution in Caution if caution is not Caution.HELD_BREATH)
# Of these only somebody who avoids them makes a case: half of all moves are on the floor, and every row bends the back.
_FOR_SOMEBODY = (Caution.TO_FLOOR, Caution.KNEELING, Caution.BACK_LOAD, Caution.SHOULDER_LOAD, Caution.HEAD_LOW)


@rule(TIMELINE)
def caution_unanswered(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """A rung with a caution has an option, or a rung on its ladder or of a move beside it, without that caution.

    Severity: error when someone present has to avoid it, else warning
    Limit: 1 rung without the caution
    Source: common practice, no source: offer it before anyone asks; what a licensed person advised comes first
    """
    troubles = (
        (cell, caution) for cell, caution in _cell_cautions(session) if _way_round(cell, caution, session.kit) is None
    )
    for cells, caution in group_by_column(troubles):
        present = caution in session.who.limits
        yield Finding(
            rule=caution_unanswered.id,
            what=str(caution),
            severity=Severity.ERROR if present else Severity.WARNING,
            where=cells[0].where,
            places=refs(cells),
            measured=f"{cells[0].rung.name!r} has the caution {caution}"
            f"{', which someone present has to avoid,' if present else ''} and 0 rungs without it",
            limit="at least 1 option or rung of the ladder without the caution",
            source=caution_unanswered.source,
            remedy=f"Give the {move_words(cells[0])} an option from another move, without {caution}.",
            hint=f'Such as options.easier = "move/rung" for {cells[0].ref.cell}.',
        )


@rule(TIMELINE)
def limit_rung(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """Where someone present has to avoid a rung and no option shown is without its caution, another rung is named.

    Severity: note
    Limit: 1 other rung named for each of them
    Source: common practice, no source: offer it before anyone asks; what a licensed person advised comes first
    """
    for caution in session.who.limits:
        cells = [cell for cell, tag in _cell_cautions(session) if tag is caution and not _option_without(cell, caution)]
        ways = {move_words(cell): way for cell in cells if (way := _way_round(cell, caution, session.kit))}
        if ways:
            yield Finding(
                rule=limit_rung.id,
                what=str(caution),
                severity=Severity.NOTE,
                where=cells[0].where,
                places=refs(cells),
                measured=f"{count_words(len(cells), 'set')} with the caution {caution}: "
                "someone present has to avoid it",
                limit="at least 1 other rung named for each of them",
                source=limit_rung.source,
                remedy=f"Offer instead: {_ways_words(ways)}.",
            )


def instead_words(session: Session, caution: Caution) -> str:
    """'bridge: Standing hinge to the wall; …': what people take instead who avoid it; empty where nothing has it."""
    cells = [cell for cell, tag in _cell_cautions(session) if tag is caution]
    ways = ((cell, _way_round(cell, caution, session.kit)) for cell in cells)
    return _ways_words({move_words(cell): way for cell, way in ways if way})


def _ways_words(ways: Mapping[str, Rung]) -> str:
    return name_list((f"{key}: {way.name}" for key, way in ways.items()), "; ")


@rule(TIMELINE)
def held_breath(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """A rung on which people tend to hold their breath has a breathing cue.

    Severity: warning
    Limit: 1 breathing cue
    Source: common practice, no source: breathe out on the effort
    """
    troubles = ((cell, cell.rung.name) for cell in every_cell(session) if _breathless(cell))
    for cells, name in group_by_column(troubles):
        yield Finding(
            rule=held_breath.id,
            severity=Severity.WARNING,
            where=cells[0].where,
            places=refs(cells),
            measured=f"{name!r} has the caution {Caution.HELD_BREATH} and 0 breathing cues",
            limit="at least 1 breathing cue",
            source=held_breath.source,
            remedy=f"Add a breathing cue to the {move_words(cells[0])}, such as out on the way up, in on the way down.",
            hint=f"Cues stand in the move file of {cells[0].move.key}.",
        )


def _cell_cautions(session: Session) -> Iterator[tuple[Cell, Caution]]:
    """Cells by caution."""
    here = [each for each in WITH_A_WAY_ROUND if each not in _FOR_SOMEBODY or each in session.who.limits]
    return ((cell, caution) for cell in every_cell(session) for caution in cell.rung.cautions if caution in here)


def _option_without(cell: Cell, caution: Caution) -> bool:
    return any(option and caution not in option.rung.cautions for option in map(cell.option, OptionKind))


def _way_round(cell: Cell, caution: Caution, kit: Kit) -> Rung | None:
    """The rung to take instead with the kit that is there: an option shown on the sheet, then the ladder's nearest, a
    lower one first; else of another move of the pattern.
    """
    on_sheet = [cell.option(kind) for kind in (OptionKind.EASIER, OptionKind.NO_KIT, OptionKind.HARDER)]
    options = [option.rung for option in on_sheet if option]
    ladder = sorted(cell.move.versions, key=lambda rung: _nearness(cell, rung))
    rungs = sorted((*options, *ladder), key=lambda rung: rung.grade > cell.rung.grade)  # stable: only harder ones last
    free = [rung for rung in rungs if caution not in rung.cautions and not lacking(rung, kit)]
    calm = [rung for rung in free if set(rung.cautions) <= set(cell.rung.cautions)]  # no new caution for the old one
    return next(iter(calm or free), None) or _beside(cell, caution, kit)


def _nearness(cell: Cell, rung: Rung) -> tuple[int, bool, int]:
    """How far a version is in grade, its own move's first, the higher of two on the ladder first."""
    return abs(rung.grade - cell.rung.grade), rung.form.move != cell.move.key, -cell.move.versions.index(rung)


def _beside(cell: Cell, caution: Caution, kit: Kit) -> Rung | None:
    """The nearest rung of another move in the library that comes with Everyrung, no harder and without the caution,
    that the kit is enough for.
    """
    library = standard_library()
    if cell.rung.move not in library.keys:
        return None
    others = alternatives(library, cell.rung, avoid=[caution], kit=[stock.item for stock in kit])
    return next((rung for rung in others if rung.grade <= cell.rung.grade and not lacking(rung, kit)), None)


def _breathless(cell: Cell) -> bool:
    cues = (*cell.rung.cues, *cell.move.cues)
    return Caution.HELD_BREATH in cell.rung.cautions and all(cue.kind is not CueKind.BREATHING for cue in cues)


STRONG_GRADE = 4  # chosen, because the library calls grade 4 strong work
FIRST_GRADE = EASY_GRADE


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
    if most > NOVICE_REPS:
        over = most - NOVICE_REPS
        yield Finding(
            rule=newcomer_knee_bends.id,
            severity=Severity.WARNING,
            where=cells[0].where,
            places=refs(cells),
            measured=f"{most} deep knee bends a leg in {session.newcomer_rounds} rounds for first-timers",
            limit=f"at most {NOVICE_REPS} a leg",
            source=newcomer_knee_bends.source,
            remedy=f"Take {count_words(over, 'repetition')} a leg out, lead a shallower rung, "
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
    for cells, grade in group_by_column(troubles):
        easier = cells[0].option(OptionKind.EASIER)
        option = f"{easier.rung.name!r}, grade {easier.rung.grade}" if easier else "missing"
        low = [rung for rung in cells[0].move.versions if rung.grade <= FIRST_GRADE]
        yield Finding(
            rule=newcomer_rung.id,
            severity=Severity.WARNING,
            where=cells[0].where,
            places=refs(cells),
            measured=f"{cells[0].rung.name!r} is grade {grade} and its easier option is {option}",
            limit=f"an easier option of grade {FIRST_GRADE} or lower while first-timers take part",
            source=newcomer_rung.source,
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
