"""Rounds rise: each a step, and one named lever at a time."""

from collections.abc import Iterator
from itertools import groupby

from everyrung.checks.cells import and_list, move_words, strength_blocks
from everyrung.checks.rule import TIMELINE, rule
from everyrung.moves.changed_levers import changed_levers, went_down
from everyrung.terms.enums import Severity
from everyrung.terms.finding import Finding
from everyrung.terms.plan import Ref
from everyrung.terms.session import Block, Cell, Session
from everyrung.terms.timeline import Timeline

Step = tuple[Cell, Cell]


@rule(TIMELINE)
def two_levers(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """From one round to the next a move changes by one lever at most.

    Severity: warning
    Limit: 1 lever a cell and round
    Source: chosen, because with one change at a time everyone knows what made it harder
    """
    for before, after in steps(session):
        levers = changed_levers(before, after)
        if len(levers) > 1:
            yield Finding(
                rule=two_levers.id,
                severity=Severity.WARNING,
                where=after.where,
                places=(after.ref,),
                measured=f"{len(levers)} levers at once since {before.ref.round}: {and_list(levers)}",
                limit="1 lever from round to round",
                source=two_levers.source,
                remedy=f"Keep one of {and_list(levers)} in the {move_words(after)} here and leave the others "
                "for another round.",
            )


@rule(TIMELINE)
def round_same(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """Every round after the first changes at least one move.

    Severity: note
    Limit: 1 changed cell a round
    Source: chosen, because our promise is that each round is a step harder; the same again is hard enough for training
    """
    for block in strength_blocks(session):
        for name, steps in groupby(_block_steps(block), key=lambda step: step[1].ref.round):
            cells = [after for before, after in steps if not changed_levers(before, after)]
            round_ = next(each for each in block.rounds if each.name == name)
            if len(cells) == len(round_.cells):
                yield Finding(
                    rule=round_same.id,
                    severity=Severity.NOTE,
                    where=round_.where,
                    places=(Ref(block=block.name, round=name),),
                    measured=f"0 of {len(cells)} sets changed since the round before",
                    limit="at least 1 changed set a round",
                    source=round_same.source,
                    remedy=f"Change one lever in one set of round {name}: a pause, a slower tempo, two repetitions, "
                    "a load.",
                )


@rule(TIMELINE)
def lever_down(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """A move whose levers only go down from the round before is named, in case that was a slip.

    Severity: note
    Limit: 0 levers down with none up
    Source: chosen, because rounds are meant to rise, and a slip in one cell is easily overlooked
    """
    for before, after in steps(session):
        down = went_down(before, after)
        if down:
            yield Finding(
                rule=lever_down.id,
                severity=Severity.NOTE,
                where=after.where,
                places=(after.ref,),
                measured=f"{and_list(down)} went down since {before.ref.round}, and 0 levers went up",
                limit="0 levers down with none up",
                source=lever_down.source,
                remedy=f"If it is not meant, take the change of {and_list(down)} out of the {move_words(after)}.",
            )


def steps(session: Session) -> Iterator[Step]:
    """Each strength cell with the same column's cell in the last round that had it."""
    return (step for block in strength_blocks(session) for step in _block_steps(block))


def _block_steps(block: Block) -> Iterator[Step]:
    """Each cell with the same column's cell in the last round that had it."""
    last: dict[str, Cell] = {}
    for cell in block.cells:
        if cell.ref.cell in last:
            yield last[cell.ref.cell], cell
        last[cell.ref.cell] = cell
