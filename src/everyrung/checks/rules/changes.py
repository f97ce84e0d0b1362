"""What the class has to change between the work: kit in a cell, and getting down and up."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

from everyrung.checks.cells import count_words, every_cell, group_by_column, move_words, refs
from everyrung.checks.rule import TIMELINE, rule
from everyrung.terms.enums import BlockKind, Severity
from everyrung.terms.finding import Finding
from everyrung.terms.plan import Ref
from everyrung.terms.session import Block, Cell, Session
from everyrung.terms.timeline import KitInUse, Timeline
from everyrung.timing.timeline import build_timeline
from everyrung.timing.transitions import held_kit, kit_change_ms

MAX_FLOOR_CHANGES_A_ROUND = 2  # chosen, because once down and once up is what floor moves need at all


@rule(TIMELINE)
def kit_change_in_cell(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """Nobody changes kit between the two sides of one cell.

    Severity: warning
    Limit: 0 changes inside a cell
    Source: chosen, because a change of kit between the sides takes the time of a rest and invites a mix-up
    """
    troubles = ((cell, change) for cell in every_cell(session) for change in _kit_changes(cell))
    for cells, (before, after) in group_by_column(troubles):
        seconds = kit_change_ms(session.clock, before, after) / 1000
        yield Finding(
            rule=kit_change_in_cell.id,
            severity=Severity.WARNING,
            where=cells[0].where,
            places=refs(cells),
            measured=f"from {_labels(before)} to {_labels(after)} between the sides: {seconds:g} s each time",
            limit="0 changes of kit inside a set",
            source=kit_change_in_cell.source,
            remedy=f"Use the same kit on both sides of the {move_words(cells[0])}.",
        )


@rule(TIMELINE)
def floor_changes(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """The class gets down to the floor and up from it no more than twice a round.

    Severity: warning
    Limit: 2 changes a round, on average over a main block
    Source: chosen, because each takes 6 or 7 s and getting up is the hardest part for unsteady people
    """
    for block in session.of_kind(BlockKind.MAIN):
        changes, rounds = count_floor_changes(timeline, block.name), len(block.rounds)
        if changes > MAX_FLOOR_CHANGES_A_ROUND * rounds:
            yield Finding(
                rule=floor_changes.id,
                severity=Severity.WARNING,
                where=block.where,
                places=(Ref(block=block.name),),
                measured=f"{changes} times down or up in {count_words(rounds, 'round')}, "
                f"{changes / rounds:.1f} a round",
                limit=f"at most {MAX_FLOOR_CHANGES_A_ROUND} a round",
                source=floor_changes.source,
                remedy=_better_order(session, block, changes),
            )


def count_floor_changes(timeline: Timeline, block: str) -> int:
    """How often the class gets down or up while the block called `block` runs."""
    before, changes = False, 0
    for span in timeline.spans:
        changes += span.block.name == block and span.position.on_floor != before
        before = span.position.on_floor
    return changes


def _better_order(session: Session, block: Block, changes: int) -> str:
    """Floor moves last in every round: then no round can change more than twice, up at its start and down once."""
    rounds = tuple(
        replace(each, cells=tuple(sorted(each.cells, key=lambda cell: cell.rung.form.position.on_floor)))
        for each in block.rounds
    )
    sorted_block = replace(block, rounds=rounds)
    blocks = tuple(sorted_block if each is block else each for each in session.blocks)
    fewer = count_floor_changes(build_timeline(replace(session, blocks=blocks)), block.name)
    longest = max(rounds, key=lambda each: len(each.cells))
    order = ", ".join(map(move_words, longest.cells))
    return f"Put the floor moves together: {order}. That makes {fewer} instead of {changes}."


def _kit_changes(cell: Cell) -> Iterator[tuple[tuple[KitInUse, ...], tuple[KitInUse, ...]]]:
    kits = [held_kit(cell, bout) for bout in cell.bouts]
    return ((before, after) for before, after in pairwise(kits) if before != after)


def _labels(kit: tuple[KitInUse, ...]) -> str:
    return ", ".join(each.label for each in kit) or "nothing"
