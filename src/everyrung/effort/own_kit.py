"""What someone's kit allows: which single weights and which pairs, and whether a rung's other things are there."""

from dataclasses import dataclass

from everyrung.effort.audience import Kit
from everyrung.effort.choices import Offer
from everyrung.terms.enums import BandGrade, KitItem, LoadNeed
from everyrung.terms.person import Own
from everyrung.terms.plan import Stock
from everyrung.terms.units import SAME_MASS_KG, Mass


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """One way to hold something: a mass with the word for it (empty for a dumbbell)."""

    mass: Mass
    word: str = ""

    def __str__(self) -> str:
        return f"{self.word} of {self.mass}" if self.word else str(self.mass)


def room_kit(stock: tuple[Stock, ...]) -> Kit:
    """What one person in the room can take: of what is there, enough for each (kit-short is another rule's)."""
    return tuple(
        Own(
            item=each.item,
            pieces=2 if each.pieces > 1 and each.mass else 1,
            mass=each.mass,
            diameter_cm=each.diameter_cm,
            rated_kg=each.rated_kg,
            grade=each.grade,
        )
        for each in stock
    )


def pieces(kit: Kit, count: int) -> tuple[Piece, ...]:
    """The different masses that are there `count` times, lightest first; a pair matches, whatever it is made of."""
    things = [Piece(mass=own.mass, word=own.word) for own in kit if own.mass for _ in range(own.pieces)]
    found: list[Piece] = []
    for one in sorted(things, key=lambda each: each.mass.mass_kg):
        alike = sum(abs(other.mass.mass_kg - one.mass.mass_kg) <= SAME_MASS_KG for other in things)
        known = any(abs(other.mass.mass_kg - one.mass.mass_kg) <= SAME_MASS_KG for other in found)
        if alike >= count and not known:
            found.append(one)
    return tuple(found)


def allows(kit: Kit, offer: Offer) -> bool:
    """Whether everything but weights is there; walls and mats are everywhere (common practice, no source)."""
    items = {own.item for own in kit}
    needed = {item for item in offer.kit if item != KitItem.DUMBBELLS}
    return needed <= items and (offer.form.load is not LoadNeed.BAND or bool(grades(kit)))


def grades(kit: Kit) -> tuple[BandGrade, ...]:
    """The bands that are there."""
    return tuple(own.grade for own in kit if own.grade)
