"""Is the kit there, counted per person; and do the pieces of a pair weigh the same."""

from collections.abc import Iterator
from dataclasses import replace

from everyrung.checks.cells import count_words, every_cell, group_by_column, move_words, refs
from everyrung.checks.kit_needs import ItemNeed, counted_pieces, each_pieces, served_in_room, stocks, wanted_by
from everyrung.checks.rule import TIMELINE, rule
from everyrung.terms.enums import KitItem, OptionKind, Severity
from everyrung.terms.finding import Finding, name_list
from everyrung.terms.plan import Ref
from everyrung.terms.sentences import upper_first
from everyrung.terms.session import Cell, Session
from everyrung.terms.timeline import Timeline
from everyrung.terms.units import Load


@rule(TIMELINE)
def kit_missing(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """Every item that a rung asks for is listed under the kit; a wall and a mat are taken to be there.

    Severity: error
    Limit: 1 kit entry of that item, mass and band grade
    Source: the plan's own kit
    """
    cells_by_need: dict[ItemNeed, list[Cell]] = {}
    for need, cells in _asked_for(session).items():
        cells_by_need.setdefault(replace(need, pieces=1), []).extend(cells)
    for need, cells in cells_by_need.items():
        if need.item.counts_as_kit and not stocks(session, need):
            yield Finding(
                rule=kit_missing.id,
                what=str(need),
                severity=Severity.ERROR,
                where=cells[0].where,
                places=refs(cells),
                measured=f"{need}: asked for {count_words(len(cells), 'time')}, 0 in the plan's kit",
                limit="at least 1 kit entry of it",
                source=kit_missing.source,
                remedy=_instead(session, need, cells),
                hint="Kit stands under [[kit]].",
            )


@rule(TIMELINE)
def kit_short(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """Kit that is listed is enough for everyone in the room.

    Where a block is led in waves, for everyone who works at once. People at home have only what is listed with `each`;
    they, and whoever goes without, take the no-kit option.
    Severity: warning
    Limit: one set a person in the room, or in the waves that work with it at once
    Source: the plan's own kit and people
    """
    enough = _enough_in_waves(session, timeline)
    for need, every in _asked_for(session).items():
        cells = [cell for cell in every if cell.ref not in enough]
        if not stocks(session, need) or not cells:
            continue
        without = session.who.in_room - served_in_room(session, need)
        if without > 0:
            yield Finding(
                rule=kit_short.id,
                what=str(need),
                severity=Severity.WARNING,
                where=cells[0].where,
                places=refs(cells),
                measured=f"{need}: enough for {session.who.in_room - without} of {session.who.in_room} "
                f"in the room, not for {without}",
                limit=f"{need.pieces} a person for {session.who.in_room} people",
                source=kit_short.source,
                remedy=_others_do(session, timeline, need, cells, without),
            )


def _enough_in_waves(session: Session, timeline: Timeline) -> set[Ref]:
    """The cells that are led in waves for which what is there is enough."""
    blocks = [block for block in session.blocks if any(each.waves for each in block.rounds)]
    if not blocks:
        return set()
    from everyrung.checks.wave_groups import block_grouping  # only where there are waves

    enough: set[Ref] = set()
    for block in blocks:
        choices = block_grouping(session, timeline, block, session.who.in_room).choices
        keys = {each.cell.ref.cell for cells, waves in choices if waves > 1 for each in cells}
        enough |= {cell.ref for cell in block.cells if cell.ref.cell in keys}
    return enough


def _asked_for(session: Session) -> dict[ItemNeed, list[Cell]]:
    """The cells that ask for each item, by mass, grade and pieces a person."""
    cells: dict[ItemNeed, list[Cell]] = {}
    for cell in every_cell(session):
        for need in wanted_by(cell):
            cells.setdefault(need, []).append(cell)
    return cells


def _instead(session: Session, need: ItemNeed, cells: list[Cell]) -> str:
    """What to do about an item that is not there: the nearest mass, another band, or the no-kit rung."""
    advice = f"List {need} among the kit"
    masses = [stock.mass for stock in session.kit if stock.mass]
    if need.mass and masses:
        near_kg = need.mass.mass_kg
        near = min(masses, key=lambda mass: abs(mass.mass_kg - near_kg))
        return f"{advice}, or use the nearest that is there, {near}."
    like = need.grade and need.grade.need
    grades = [str(stock.grade) for stock in session.kit if stock.grade and stock.grade.need is like]
    if grades:
        return f"{advice}, or use a {name_list(grades)}, which is there."
    return f"{advice}, or lead the no-kit rung: {_rungs_without(need.item, cells)}."


def _others_do(session: Session, timeline: Timeline, need: ItemNeed, cells: list[Cell], people: int) -> str:
    """What to do when there is too little: bring more, lead it in waves, or say beforehand who takes which rung."""
    short = (need.pieces - each_pieces(session, need)) * session.who.in_room - counted_pieces(session, need)
    ways = [f"Bring {short} more"] if need.item is not KitItem.WALL else []
    if waves := _waves_words(session, timeline, cells):
        ways.append(waves if ways else f"{upper_first(waves)}")
    whom = f"{people} people" if people > 1 else "1 person"
    ways.append(f"{'tell' if ways else 'Tell'} {whom} before: {_rungs_without(need.item, cells)}")
    return f"{', or '.join(ways)}."


def _waves_words(session: Session, timeline: Timeline, cells: list[Cell]) -> str:
    """The waves of the first block in which it is short, as a plan has them; '' where not even four are enough."""
    from everyrung.checks.wave_groups import block_grouping, group_words  # only where kit is short

    block = next((block for block in session.blocks if block.name == cells[0].ref.block), None)
    if block is None:
        return ""
    grouping = block_grouping(session, timeline, block, session.who.in_room)
    if not grouping.waves or grouping.too_few:
        return ""
    return f"lead {block.name} in waves ({group_words(grouping)})"


def _rungs_without(item: KitItem, cells: list[Cell]) -> str:
    """For each move the option that does not need an item, the no-kit one first."""
    parts = []
    for cell in cells:
        options = [cell.option(kind) for kind in (OptionKind.NO_KIT, OptionKind.EASIER, OptionKind.HARDER)]
        free = [
            option.rung.name for option in options if option and all(need.item is not item for need in option.rung.kit)
        ]
        parts.append(f"{move_words(cell)}: {free[0] if free else 'no option without it'}")
    return name_list(parts, "; ")


@rule(TIMELINE)
def pair_unequal(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """Two pieces held together weigh the same, whatever units they are written in.

    Severity: error
    Limit: 0 kg between the two pieces
    Source: common practice, no source: a pair of loads must match
    """
    troubles = ((cell, load) for cell in every_cell(session) for load in _loads(cell) if not load.is_matched)
    for cells, load in group_by_column(troubles):
        first, second = load.pieces
        light, heavy = sorted(load.pieces, key=lambda piece: piece.mass_kg)
        apart_kg = heavy.mass_kg - light.mass_kg
        yield Finding(
            rule=pair_unequal.id,
            severity=Severity.ERROR,
            where=cells[0].where,
            places=refs(cells),
            measured=f"{first} with {second}: {apart_kg:.2g} kg apart",
            limit="0 kg between the two pieces of a pair",
            source=pair_unequal.source,
            remedy=f"Take 2 x {light} for the {move_words(cells[0])}, or choose a rung with one piece.",
            hint=f'Write load = "2 x {light}" for {cells[0].ref.cell}.',
        )


def _loads(cell: Cell) -> set[Load]:
    """The loads of the cell and of its options, each once."""
    loads = {bout.load for bout in cell.bouts} | {option.rung.form.amount for option in cell.options}
    return {load for load in loads if load is not None}
