"""What one person needs for a cell, piece by piece, and how much of it there is."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Protocol

from everyrung.terms.enums import BandGrade, KitItem
from everyrung.terms.frozen import dataclass
from everyrung.terms.move import KitNeed, Rung
from everyrung.terms.plan import Stock, Who
from everyrung.terms.session import Cell, Session
from everyrung.terms.units import SAME_MASS_KG, Load, Mass


class HasKit(Protocol):
    """A session, or a brief for one: who comes, and what is there."""

    @property
    def who(self) -> Who:
        """Those who come."""

    @property
    def kit(self) -> tuple[Stock, ...]:
        """What is there."""


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


def people_without(session: Session, cell: Cell) -> int:
    """How many people in the room and at home lack something that the cell's rung asks for."""
    needs = [need for need in wanted_by(cell) if need.item.counts_as_kit]
    in_room = max((session.who.in_room - served_in_room(session, need) for need in needs), default=0)
    everyone = all(each_pieces(session, need) >= need.pieces for need in needs)
    return in_room + (0 if everyone else session.who.at_home)


def served_in_room(session: HasKit, need: ItemNeed) -> int:
    """How many people in the room can have what is wanted; counted pieces fill up what each brings."""
    short = need.pieces - each_pieces(session, need)
    if short <= 0:
        return session.who.in_room
    return min(session.who.in_room, counted_pieces(session, need) // short)


def wanted_by(cell: Cell) -> tuple[ItemNeed, ...]:
    """What one person needs for a cell: for two sides with other loads, each of them."""
    return wants(cell.rung, tuple(dict.fromkeys(bout.load for bout in cell.bouts if bout.load)))


def wants(rung: Rung, loads: Sequence[Load]) -> tuple[ItemNeed, ...]:
    """What one person needs for a rung that is done with each of these loads."""
    result: dict[ItemNeed, None] = {}
    for need in rung.kit:
        if need.item.has_mass:
            result.update(dict.fromkeys(_weights(loads, need)))
        else:
            grades = [load.band for load in loads] if need.item.has_grade else []
            result.update(dict.fromkeys(replace(_plain(need), grade=grade) for grade in grades or [None]))
    return tuple(result)


def _plain(need: KitNeed) -> ItemNeed:
    return ItemNeed(item=need.item, pieces=need.pieces, instead=need.instead)


def _weights(loads: Sequence[Load], need: KitNeed) -> Iterator[ItemNeed]:
    for load in loads:
        for mass in dict.fromkeys(load.pieces):
            alike = sum(_same_mass(mass, piece) for piece in load.pieces)
            yield replace(_plain(need), pieces=alike, mass=mass)


def _same_mass(one: Mass, other: Mass | None) -> bool:
    return other is not None and abs(one.mass_kg - other.mass_kg) <= SAME_MASS_KG


def stocks(session: HasKit, need: ItemNeed) -> tuple[Stock, ...]:
    """The kit entries of a kind."""
    return tuple(stock for stock in session.kit if need.met_by(stock))


def each_pieces(session: HasKit, need: ItemNeed) -> int:
    """How many pieces everybody has for themselves."""
    return sum(stock.pieces for stock in stocks(session, need) if stock.each)


def counted_pieces(session: HasKit, need: ItemNeed) -> int:
    """How many pieces there are for all in the room together."""
    return sum(stock.pieces for stock in stocks(session, need) if stock.count)
