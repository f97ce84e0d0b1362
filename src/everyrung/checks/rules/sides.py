"""Both sides of the body do the same: over the session, within a cell, and by the end of every block."""

from collections.abc import Iterator
from itertools import groupby

from everyrung.checks.cells import and_list, count_words, every_cell, group_by_column, key_words, move_words, refs
from everyrung.checks.rule import TIMELINE, rule
from everyrung.terms.enums import Severity, Side, Sidedness, SideRule
from everyrung.terms.finding import Finding
from everyrung.terms.session import Bout, Cell, Session
from everyrung.terms.timeline import Timeline
from everyrung.terms.units import SAME_MASS_KG, Load, Per, clock_text
from everyrung.timing.side_totals import NOTHING, Sides, sides_of, totals


@rule(TIMELINE)
def sides_unequal(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """Over the session each move gives the left and the right the same repetitions, time and load.

    A reserve block is added up on its own. Silent where side-by-round or sides-differ already says it.
    Severity: error
    Limit: a difference of 0
    Source: common practice, no source: both sides get the same work
    """
    for cells in _led_together(session):
        by_round = set(_uneven_by_round(cells))
        alike = totals(cell for cell in cells if not differences(cell))
        for move, sides in totals(cells).items():
            if not sides.equal and move not in by_round and not alike.get(move, NOTHING).equal:
                yield _unequal(move, sides, [cell for cell in cells if cell.rung.form.move == move])


@rule(TIMELINE)
def side_by_round(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """Moves led one side a round come out equal: as many rounds left as right.

    Severity: error
    Limit: 0 rounds more on one side than on the other
    Source: arithmetic: an odd number of rounds cannot be shared out evenly
    """
    for cells in _led_together(session):
        for move, column in _uneven_by_round(cells).items():
            left = sum(cell.bouts[0].side is Side.LEFT for cell in column)
            yield Finding(
                rule=side_by_round.id,
                what=move,
                severity=Severity.ERROR,
                where=column[0].where,
                places=refs(column),
                measured=_by_round(move, left, len(column) - left),
                limit="0 rounds more on one side than on the other",
                source=side_by_round.source,
                remedy=f"Lead the {move_words(column[0])} left then right, "
                f"or lead {2 * max(left, len(column) - left)} rounds of it, one after another.",
                hint=f'Write `sides = "left then right"` for {column[0].ref.cell}.',
            )


@rule(TIMELINE)
def sides_differ(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """Within one cell both sides get the same dose, tempo and load.

    Severity: error
    Limit: no difference; loads within 0.05 kg count as the same
    Source: common practice, no source: both sides get the same work
    """
    troubles = ((cell, differences(cell)) for cell in every_cell(session))
    for cells, details in group_by_column((cell, details) for cell, details in troubles if details):
        cell = cells[0]
        words = and_list(name for name, _ in details)
        yield Finding(
            rule=sides_differ.id,
            severity=Severity.ERROR,
            where=cell.where,
            places=refs(cells),
            measured="; ".join(f"{name} {what}" for name, what in details),
            limit=f"the same {words} on both sides (0 different)",
            source=sides_differ.source,
            remedy=f"Give both sides of the {move_words(cell)} the same {words}.",
            hint=f"Take the {words} out of `left` or `right` of {cell.ref.cell}, so that both follow the cell.",
        )


@rule(TIMELINE)
def side_owed(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """A side left undone is made good before its block ends.

    Silent where the session never makes it good: that is sides-unequal or side-by-round.
    Severity: warning
    Limit: 0 owed at the end of a block
    Source: common practice, no source: people who leave or stop early go home even
    """
    over_all = totals(session.cells)
    so_far: dict[str, Sides] = {}
    for block in session.blocks:
        for move, sides in totals(block.cells).items():
            before = so_far.get(move, NOTHING)
            so_far[move] = before + sides
            if over_all[move].equal and before.equal and not so_far[move].equal:
                yield _debt_finding(move, so_far[move], [cell for cell in block.cells if cell.rung.form.move == move])


def differences(cell: Cell) -> tuple[tuple[str, str], ...]:
    """What differs between the two sides of one cell: dose, tempo, load, each with both values."""
    if len(cell.bouts) != 2 or _odd_in_all(cell):
        return ()
    first, second = cell.bouts
    result = []
    if first.reps != second.reps or (first.tempo == second.tempo and first.duration_ms != second.duration_ms):
        result.append(("dose", _both(first, _dose(first), second, _dose(second))))
    if first.tempo != second.tempo:
        result.append(("tempo", _both(first, str(first.tempo), second, str(second.tempo))))
    if not _same_load(first.load, second.load):
        result.append(("load", _both(first, str(first.load), second, str(second.load))))
    return tuple(result)


def _odd_in_all(cell: Cell) -> bool:
    """'13 in all': one repetition more on the first side, and no side told anything else."""
    first, second = cell.bouts
    as_said = (cell.dose.reps or 0) + cell.rung.form.reps_added
    shared_out = cell.dose.per is Per.ALL and first.reps + second.reps == as_said and _apart(cell) == 1
    return shared_out and first.tempo == second.tempo and _same_load(first.load, second.load)


def _dose(bout: Bout) -> str:
    return f"{bout.reps} reps" if bout.reps else clock_text(bout.duration_ms)


def _both(first: Bout, one: str, second: Bout, other: str) -> str:
    return f"{first.side} {one}, {second.side} {other}"


def _same_load(one: Load | None, other: Load | None) -> bool:
    if one is None or other is None:
        return one is other
    return one.band == other.band and abs(one.total_kg - other.total_kg) <= SAME_MASS_KG


def _led_together(session: Session) -> Iterator[tuple[Cell, ...]]:
    """The cells that have to come out even together: all that is led, and each reserve block by itself."""
    yield tuple(session.cells)
    for block in session.reserve:
        yield tuple(block.cells)


def _uneven_by_round(cells: tuple[Cell, ...]) -> dict[str, list[Cell]]:
    """Moves that are unequal because one side a round was given an uneven number of rounds."""
    over_all = totals(cells)
    columns = [
        cell for cell in cells if cell.side_rule is SideRule.BY_ROUND and cell.rung.form.sides is Sidedness.ONE_SIDE
    ]
    by_move = sorted(columns, key=lambda cell: cell.rung.form.move)
    columns_by_move = {move: list(group) for move, group in groupby(by_move, key=lambda cell: cell.rung.form.move)}
    return {move: column for move, column in columns_by_move.items() if _uneven(column) and not over_all[move].equal}


def _uneven(column: list[Cell]) -> bool:
    return 2 * sum(cell.bouts[0].side is Side.LEFT for cell in column) != len(column)


def _by_round(move: str, left: int, right: int) -> str:
    rounds = left + right
    if rounds % 2:
        why = f"{count_words(rounds, 'round')} cannot alternate one side a round and come out equal"
    else:
        why = "with a round skipped between them they do not alternate"
    return f"{key_words(move)}: {left} left and {right} right: {why}"


def _apart(cell: Cell) -> int:
    sides = sides_of(cell)
    return abs(sides.left.reps - sides.right.reps)


def _unequal(move: str, sides: Sides, cells: list[Cell]) -> Finding:
    uneven = [cell for cell in cells if not sides_of(cell).equal]
    odd = next((cell for cell in uneven if cell.dose.per is Per.ALL and _apart(cell) == 1), None)
    if odd and odd.dose.reps:
        remedy = f'Make its dose "{odd.dose.reps - 1} in all" or "{odd.dose.reps + 1} in all".'
        hint = f"It is the dose of {odd.ref}."
    else:
        remedy = f"Give the {sides.owed_side} {sides.debt} more of {key_words(move)}, or lead it left then right."
        hint = f'Write `sides = "left then right"` in {uneven[0].ref}.'
    return Finding(
        rule=sides_unequal.id,
        what=move,
        severity=Severity.ERROR,
        where=uneven[0].where,
        places=refs(uneven),
        measured=f"{key_words(move)}: left {sides.left}; right {sides.right}; "
        f"the {sides.owed_side} is owed {sides.debt}",
        limit="a difference of 0 over the session",
        source=sides_unequal.source,
        remedy=remedy,
        hint=hint,
    )


def _debt_finding(move: str, sides: Sides, cells: list[Cell]) -> Finding:
    uneven = [cell for cell in cells if not sides_of(cell).equal]
    block = uneven[0].ref.block
    return Finding(
        rule=side_owed.id,
        what=move,
        severity=Severity.WARNING,
        where=uneven[0].where,
        places=refs(uneven),
        measured=f"{key_words(move)}: the {sides.owed_side} is owed {sides.debt} when {block} ends, "
        "and gets it in a later block",
        limit=f"0 owed when {block} ends",
        source=side_owed.source,
        remedy=f"Lead the {sides.owed_side} of the {move_words(uneven[0])} ({sides.debt}) before {block} ends.",
    )
