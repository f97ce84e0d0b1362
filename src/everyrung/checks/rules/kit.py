"""Is the kit there, counted per person; and do the pieces of a pair weigh the same."""

from collections.abc import Iterator
from dataclasses import replace

from everyrung.checks.cells import count_words, every_cell, group_by_column, move_words, refs
from everyrung.checks.rule import TIMELINE, rule
from everyrung.terms.enums import BandGrade, KitItem, OptionKind, Severity
from everyrung.terms.finding import Finding, name_list
from everyrung.terms.frozen import dataclass
from everyrung.terms.move import KitNeed
from everyrung.terms.plan import Stock
from everyrung.terms.session import Cell, Session
from everyrung.terms.timeline import Timeline
from everyrung.terms.units import SAME_MASS_KG, Load, Mass


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemNeed:
    """What one person needs: pieces of one item, of one mass or band grade where the plan says so."""

    item: KitItem
    pieces: int = 1
    mass: Mass | None = None
    grade: BandGrade | None = None
    instead: tuple[KitItem, ...] = ()

    def met_by(self, stock: Stock) -> bool:
        """Whether a kit entry is of this kind, however many there are."""
        if stock.item not in (self.item, *self.instead) or (self.grade is not None and stock.grade is not self.grade):
            return False
        return self.mass is None or _same_mass(self.mass, stock.mass)

    def __str__(self) -> str:
        if self.mass:
            return f"{self.mass} {self.item}"
        return str(self.grade or self.item)


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
        if need.item.counts_as_kit and not _stocks(session, need):
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

    People at home have only what is listed with `each`; they, and whoever goes without, take the no-kit option.
    Severity: warning
    Limit: one set a person in the room
    Source: the plan's own kit and people
    """
    for need, cells in _asked_for(session).items():
        if not _stocks(session, need):
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
                remedy=_others_do(session, need, cells, without),
            )


def people_without(session: Session, cell: Cell) -> int:
    """How many people in the room and at home lack something that the cell's rung asks for."""
    needs = [need for need in wanted_by(cell) if need.item.counts_as_kit]
    in_room = max((session.who.in_room - served_in_room(session, need) for need in needs), default=0)
    everyone = all(each_pieces(session, need) >= need.pieces for need in needs)
    return in_room + (0 if everyone else session.who.at_home)


def served_in_room(session: Session, need: ItemNeed) -> int:
    """How many people in the room can have what is wanted; counted pieces fill up what each brings."""
    short = need.pieces - each_pieces(session, need)
    if short <= 0:
        return session.who.in_room
    return min(session.who.in_room, counted_pieces(session, need) // short)


def wanted_by(cell: Cell) -> tuple[ItemNeed, ...]:
    """What one person needs for a cell: for two sides with other loads, each of them."""
    result: dict[ItemNeed, None] = {}
    for need in cell.rung.kit:
        if need.item.has_mass:
            result.update(dict.fromkeys(_weights(cell, need)))
        else:
            grades = [bout.load.band for bout in cell.bouts if bout.load] if need.item.has_grade else []
            needs = (replace(_plain(need), grade=grade) for grade in grades or [None])
            result.update(dict.fromkeys(needs))
    return tuple(result)


def _plain(need: KitNeed) -> ItemNeed:
    return ItemNeed(item=need.item, pieces=need.pieces, instead=need.instead)


def _weights(cell: Cell, need: KitNeed) -> Iterator[ItemNeed]:
    for load in {bout.load: None for bout in cell.bouts if bout.load}:
        for mass in dict.fromkeys(load.pieces):
            alike = sum(_same_mass(mass, piece) for piece in load.pieces)
            yield replace(_plain(need), pieces=alike, mass=mass)


def _same_mass(one: Mass, other: Mass | None) -> bool:
    return other is not None and abs(one.mass_kg - other.mass_kg) <= SAME_MASS_KG


def _asked_for(session: Session) -> dict[ItemNeed, list[Cell]]:
    """The cells that ask for each item, by mass, grade and pieces a person."""
    cells: dict[ItemNeed, list[Cell]] = {}
    for cell in every_cell(session):
        for need in wanted_by(cell):
            cells.setdefault(need, []).append(cell)
    return cells


def _stocks(session: Session, need: ItemNeed) -> tuple[Stock, ...]:
    return tuple(stock for stock in session.kit if need.met_by(stock))


def each_pieces(session: Session, need: ItemNeed) -> int:
    return sum(stock.pieces for stock in _stocks(session, need) if stock.each)


def counted_pieces(session: Session, need: ItemNeed) -> int:
    return sum(stock.pieces for stock in _stocks(session, need) if stock.count)


def _instead(session: Session, need: ItemNeed, cells: list[Cell]) -> str:
    """What to do about an item that is not there: the nearest mass, another band, or the no-kit rung."""
    advice = f"List {need} among the kit"
    masses = [stock.mass for stock in session.kit if stock.mass]
    if need.mass and masses:
        near_kg = need.mass.mass_kg
        near = min(masses, key=lambda mass: abs(mass.mass_kg - near_kg))
        return f"{advice}, or use the nearest that is there, {near}."
    grades = [str(stock.grade) for stock in session.kit if stock.grade]
    if need.grade and grades:
        return f"{advice}, or use a {name_list(grades)}, which is there."
    return f"{advice}, or lead the no-kit rung: {_rungs_without(need.item, cells)}."


def _others_do(session: Session, need: ItemNeed, cells: list[Cell], people: int) -> str:
    """What to do when there is too little: bring more, or say beforehand who takes which rung."""
    short = (need.pieces - each_pieces(session, need)) * session.who.in_room - counted_pieces(session, need)
    more = f"Bring {short} more" if need.item is not KitItem.WALL else "Lead it in turns"
    whom = f"{people} people" if people > 1 else "1 person"
    return f"{more}, or tell {whom} before: {_rungs_without(need.item, cells)}."


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
