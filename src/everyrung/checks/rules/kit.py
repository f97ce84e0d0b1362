"""Is the kit there, counted per person; and do the pieces of a pair weigh the same."""

from collections.abc import Iterator
from dataclasses import replace

from everyrung.checks.cells import every_cell, group_by_column, move_words, refs
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
    asked: dict[ItemNeed, list[Cell]] = {}
    for wanted, cells in _asked_for(session).items():
        asked.setdefault(replace(wanted, pieces=1), []).extend(cells)
    for wanted, cells in asked.items():
        if wanted.item.counts_as_kit and not _stocks(session, wanted):
            yield Finding(
                rule="kit-missing",
                what=str(wanted),
                severity=Severity.ERROR,
                where=cells[0].where,
                places=refs(cells),
                measured=f"{wanted}: asked for {_times(cells)}, 0 in the plan's kit",
                limit="at least 1 kit entry of it",
                source="the plan's own kit",
                remedy=_instead(session, wanted, cells),
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
    for wanted, cells in _asked_for(session).items():
        if not _stocks(session, wanted):
            continue
        without = session.who.in_room - served_in_room(session, wanted)
        if without > 0:
            yield Finding(
                rule="kit-short",
                what=str(wanted),
                severity=Severity.WARNING,
                where=cells[0].where,
                places=refs(cells),
                measured=f"{wanted}: enough for {session.who.in_room - without} of {session.who.in_room} "
                f"in the room, not for {without}",
                limit=f"{wanted.pieces} a person for {session.who.in_room} people",
                source="the plan's own kit and people",
                remedy=_others_do(session, wanted, cells, without),
            )


def people_without(session: Session, cell: Cell) -> int:
    """How many people in the room and at home lack something that the cell's rung asks for."""
    needs = [wanted for wanted in wanted_by(cell) if wanted.item.counts_as_kit]
    in_room = max((session.who.in_room - served_in_room(session, wanted) for wanted in needs), default=0)
    everyone = all(_each_pieces(session, wanted) >= wanted.pieces for wanted in needs)
    return in_room + (0 if everyone else session.who.at_home)


def served_in_room(session: Session, wanted: ItemNeed) -> int:
    """How many people in the room can have what is wanted; counted pieces fill up what each brings."""
    short = wanted.pieces - _each_pieces(session, wanted)
    if short <= 0:
        return session.who.in_room
    return min(session.who.in_room, _counted_pieces(session, wanted) // short)


def wanted_by(cell: Cell) -> tuple[ItemNeed, ...]:
    """What one person needs for a cell: for two sides with other loads, each of them."""
    result: dict[ItemNeed, None] = {}
    for need in cell.rung.kit:
        if need.item.has_mass:
            result.update(dict.fromkeys(_weights(cell, need)))
        else:
            grades = [bout.load.band for bout in cell.bouts if bout.load] if need.item.has_grade else []
            asked = (replace(_plain(need), grade=grade) for grade in grades or [None])
            result.update(dict.fromkeys(asked))
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
        for wanted in wanted_by(cell):
            cells.setdefault(wanted, []).append(cell)
    return cells


def _stocks(session: Session, wanted: ItemNeed) -> tuple[Stock, ...]:
    return tuple(stock for stock in session.kit if wanted.met_by(stock))


def _each_pieces(session: Session, wanted: ItemNeed) -> int:
    return sum(stock.pieces for stock in _stocks(session, wanted) if stock.each)


def _counted_pieces(session: Session, wanted: ItemNeed) -> int:
    return sum(stock.pieces for stock in _stocks(session, wanted) if stock.count)


def _times(cells: list[Cell]) -> str:
    return f"{len(cells)} time{'s' if len(cells) > 1 else ''}"


def _instead(session: Session, wanted: ItemNeed, cells: list[Cell]) -> str:
    """What to do about an item that is not there: the nearest mass, another band, or the no-kit rung."""
    listed = f"List {wanted} among the kit"
    masses = [stock.mass for stock in session.kit if stock.mass]
    if wanted.mass and masses:
        near_kg = wanted.mass.mass_kg
        near = min(masses, key=lambda mass: abs(mass.mass_kg - near_kg))
        return f"{listed}, or use the nearest that is there, {near}."
    grades = [str(stock.grade) for stock in session.kit if stock.grade]
    if wanted.grade and grades:
        return f"{listed}, or use a {name_list(grades)}, which is there."
    return f"{listed}, or lead the no-kit rung: {_rungs_without(wanted.item, cells)}."


def _others_do(session: Session, wanted: ItemNeed, cells: list[Cell], people: int) -> str:
    """What to do when there is too little: bring more, or say beforehand who takes which rung."""
    short = (wanted.pieces - _each_pieces(session, wanted)) * session.who.in_room - _counted_pieces(session, wanted)
    more = f"Bring {short} more" if wanted.item is not KitItem.WALL else "Lead it in turns"
    whom = f"{people} people" if people > 1 else "1 person"
    return f"{more}, or tell {whom} before: {_rungs_without(wanted.item, cells)}."


def _rungs_without(item: KitItem, cells: list[Cell]) -> str:
    """For each move the option that does not need an item, the no-kit one first."""
    found = []
    for cell in cells:
        shown = [cell.option(kind) for kind in (OptionKind.NO_KIT, OptionKind.EASIER, OptionKind.HARDER)]
        free = [
            option.rung.name for option in shown if option and all(need.item is not item for need in option.rung.kit)
        ]
        found.append(f"{move_words(cell)}: {free[0] if free else 'no option without it'}")
    return name_list(found, "; ")


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
            rule="pair-unequal",
            severity=Severity.ERROR,
            where=cells[0].where,
            places=refs(cells),
            measured=f"{first} with {second}: {apart_kg:.2g} kg apart",
            limit="0 kg between the two pieces of a pair",
            source="common practice, no source: a pair of loads must match",
            remedy=f"Take 2 x {light} for the {move_words(cells[0])}, or choose a rung with one piece.",
            hint=f'Write load = "2 x {light}" for {cells[0].ref.cell}.',
        )


def _loads(cell: Cell) -> set[Load]:
    """The loads of the cell and of its options, each once."""
    held = {bout.load for bout in cell.bouts} | {option.rung.form.amount for option in cell.options}
    return {load for load in held if load is not None}
