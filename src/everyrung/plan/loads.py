"""What is held, how heavy, and how it is carried, where the plan leaves that open."""

from dataclasses import replace

from everyrung.moves.levers import PIECES, usual_carry
from everyrung.terms.enums import BandGrade, KitItem, LoadNeed
from everyrung.terms.move import Form, Rung
from everyrung.terms.plan import Stock
from everyrung.terms.units import SAME_MASS_KG, Load, Mass

Kit = tuple[Stock, ...]


def as_stocked(load: Load, kit: Kit) -> Load:
    """The same pieces in the unit they are listed in: 6.6 lb is the 3 kg of the kit. Unlisted pieces stay."""
    return replace(load, pieces=tuple(_listed(piece, kit) for piece in load.pieces))


def _listed(piece: Mass, kit: Kit) -> Mass:
    masses = [stock.mass for stock in kit if stock.mass]
    nearest = min(masses, key=lambda mass: abs(mass.mass_kg - piece.mass_kg), default=piece)
    return nearest if abs(nearest.mass_kg - piece.mass_kg) <= SAME_MASS_KG else piece


def lightest(need: LoadNeed, kit: Kit) -> Load | None:
    """The lightest dumbbells that suffice for one person, or None when the kit has none."""
    pieces = PIECES[need]
    masses = [s.mass for s in kit if s.item is KitItem.DUMBBELLS and s.mass and s.pieces >= pieces]
    return Load(pieces=(min(masses, key=lambda mass: mass.mass_kg),) * pieces) if masses else None


def option_load(form: Form, led: Load | None, kit: Kit) -> Load | None:
    """What an option holds: its own amount, else the pieces of the rung that is led, else the lightest there is.

    None when it holds nothing, or nothing is known that it could hold (`form.load` tells which).
    """
    if form.load is LoadNeed.NONE:
        return None
    if form.load is LoadNeed.BAND:
        return form.amount or Load(band=form.band or (led.band if led else None) or BandGrade.LIGHT)
    pieces = PIECES[form.load]
    same = led.pieces[:1] * pieces if led and led.pieces and _enough(led.pieces[0], pieces, kit) else ()
    load = form.amount or (Load(pieces=same) if same else lightest(form.load, kit))
    return replace(as_stocked(load, kit), carry=form.carry or usual_carry(form)[0]) if load else None


def holding(form: Form, load: Load | None) -> Form:
    """The form with what is held decided."""
    return replace(form, amount=load, band=load.band if load else None, carry=load.carry if load else None)


def lacking(rung: Rung, kit: Kit) -> tuple[KitItem, ...]:
    """The kit of a rung that is not listed, or not in enough pieces for one person; walls and mats are there."""
    return tuple(
        need.item
        for need in rung.kit
        if need.item.counts_as_kit and not any(s.item is need.item and s.pieces >= need.pieces for s in kit)
    )


def _enough(mass: Mass, pieces: int, kit: Kit) -> bool:
    return any(stock.mass == mass and stock.pieces >= pieces for stock in kit)
