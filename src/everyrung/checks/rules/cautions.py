"""Tags that ask for care: a way round each of them, and breath where it is easily held."""

from collections.abc import Iterator

from everyrung.checks.cells import called, counted, every_cell, gathered, refs
from everyrung.checks.rule import TIMELINE, rule
from everyrung.terms.enums import Caution, CueKind, OptionKind, Severity
from everyrung.terms.finding import Finding, name_list
from everyrung.terms.move import Rung
from everyrung.terms.session import Cell, Session
from everyrung.terms.timeline import Timeline

WITH_A_WAY_ROUND = tuple(caution for caution in Caution if caution is not Caution.HELD_BREATH)
_SOURCE = "common practice, no source: offer the other rung unasked; what a licensed person advised comes first"


@rule(TIMELINE)
def caution_unanswered(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """A rung with a caution has an option, or a rung on its ladder, without that caution.

    Severity: error when someone present has to avoid it, else warning
    Limit: 1 rung without the caution
    Source: common practice, no source: offer the other rung unasked; what a licensed person advised comes first
    """
    unanswered = ((cell, caution) for cell, caution in _tagged(session) if _way_round(cell, caution) is None)
    for cells, caution in gathered(unanswered):
        present = caution in session.who.limits
        yield Finding(
            rule="caution-unanswered",
            what=str(caution),
            severity=Severity.ERROR if present else Severity.WARNING,
            where=cells[0].where,
            places=refs(cells),
            measured=f"{cells[0].rung.name!r} has the caution {caution}"
            f"{', which someone present has to avoid,' if present else ''} and 0 rungs without it",
            limit="at least 1 option or rung of the ladder without the caution",
            source=_SOURCE,
            remedy=f"Give the {called(cells[0])} an option from another move, without {caution}.",
            hint=f'Such as options.easier = "move/rung" for {cells[0].ref.cell}.',
        )


@rule(TIMELINE)
def limit_rung(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """For each caution that someone present has to avoid, the rungs they take instead are named.

    Severity: note
    Limit: 1 other rung named for each of them
    Source: common practice, no source: offer the other rung unasked; what a licensed person advised comes first
    """
    for caution in session.who.limits:
        cells = [cell for cell, tag in _tagged(session) if tag is caution]
        ways = {called(cell): way for cell in cells if (way := _way_round(cell, caution))}
        if ways:
            yield Finding(
                rule="limit-rung",
                what=str(caution),
                severity=Severity.NOTE,
                where=cells[0].where,
                places=refs(cells),
                measured=f"{counted(len(cells), 'set')} with the caution {caution}: someone present has to avoid it",
                limit="at least 1 other rung named for each of them",
                source=_SOURCE,
                remedy=f"Offer instead: {name_list((f'{key}: {way.name}' for key, way in ways.items()), '; ')}.",
            )


@rule(TIMELINE)
def held_breath(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """A rung on which people tend to hold their breath has a breathing cue.

    Severity: warning
    Limit: 1 breathing cue
    Source: common practice, no source: breathe out on the effort
    """
    troubles = ((cell, cell.rung.name) for cell in every_cell(session) if _breathless(cell))
    for cells, name in gathered(troubles):
        yield Finding(
            rule="held-breath",
            severity=Severity.WARNING,
            where=cells[0].where,
            places=refs(cells),
            measured=f"{name!r} has the caution {Caution.HELD_BREATH} and 0 breathing cues",
            limit="at least 1 breathing cue",
            source="common practice, no source: breathe out on the effort",
            remedy=f"Add a breathing cue to the {called(cells[0])}, such as out on the way up, in on the way down.",
            hint=f"Cues stand in the move file of {cells[0].move.key}.",
        )


def _tagged(session: Session) -> Iterator[tuple[Cell, Caution]]:
    """Cells by caution. The floor is no caution but for who avoids it: half of all moves are down there."""
    here = [each for each in WITH_A_WAY_ROUND if each is not Caution.TO_FLOOR or each in session.who.limits]
    return ((cell, caution) for cell in every_cell(session) for caution in cell.rung.cautions if caution in here)


def _way_round(cell: Cell, caution: Caution) -> Rung | None:
    """The rung to take instead: an option shown on the sheet, then the ladder's nearest, a lower one first."""
    shown = [cell.option(kind) for kind in (OptionKind.EASIER, OptionKind.NO_KIT, OptionKind.HARDER)]
    options = [option.rung for option in shown if option]
    ladder = sorted(cell.move.ladder, key=lambda rung: abs(rung.grade - cell.rung.grade))
    rungs = sorted((*options, *ladder), key=lambda rung: rung.grade > cell.rung.grade)  # stable: only harder ones last
    free = [rung for rung in rungs if caution not in rung.cautions]
    calm = [rung for rung in free if set(rung.cautions) <= set(cell.rung.cautions)]  # no new caution for the old one
    return next(iter(calm or free), None)


def _breathless(cell: Cell) -> bool:
    cues = (*cell.rung.cues, *cell.move.cues)
    return Caution.HELD_BREATH in cell.rung.cautions and all(cue.kind is not CueKind.BREATHING for cue in cues)
