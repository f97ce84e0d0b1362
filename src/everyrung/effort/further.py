"""Further rungs of the ladder, for people whom nothing that a cell offers suits: computed once somebody needs them."""

from collections.abc import Iterator, Sequence

from everyrung.effort.audience import CAUTIONS, People
from everyrung.effort.choices import Offer, Progress, ScheduledCell, SessionOffers, offer_of, schedule, with_more
from everyrung.effort.known_people import COPIES, known_people
from everyrung.effort.outcomes import CellOutcome
from everyrung.effort.select_rung import (
    NOTHING,
    TOO_EASY_LEFT,
    TOO_EASY_TIMES,
    allows,
    most_of_body_mass,
    pieces,
    room_kit,
)
from everyrung.effort.simulate import simulate, simulation_plan
from everyrung.moves.library import Library
from everyrung.plan.options import beside
from everyrung.store.cache import Cache
from everyrung.terms.enums import OptionKind
from everyrung.terms.errors import Invalid
from everyrung.terms.person import Person
from everyrung.terms.plan import Ref
from everyrung.terms.session import Session
from everyrung.terms.timeline import Timeline

USUAL = COPIES.index(0.0)


def with_ladders(
    session: Session,
    timeline: Timeline,
    offers: SessionOffers,
    people: Sequence[Person],
    library: Library,
    cache: Cache | None,
    progress: Progress | None = None,
    *,
    in_room: bool,
) -> SessionOffers:
    """The offers with every further rung of a cell's ladder that somebody needs and may do. `in_room`: all have the
    room's kit, not their own.

    Raises Invalid for a cluster that can't be used.
    """
    crowd = known_people(people, in_room=in_room)
    more: dict[Ref, tuple[Offer, ...]] = {}
    for step in simulate(crowd, simulation_plan(session, schedule(session, timeline), offers)):
        ref = step.slot.cell.ref
        forms = {offer.form for offer in offers.cells[ref]}
        needing = [(row, kinds) for row in range(USUAL, len(crowd), len(COPIES)) if (kinds := _needs(step, crowd, row))]
        ladder = [offer for offer in _ladder(step.slot, session) if offer.form not in forms] if needing else []
        further = tuple(
            offer
            for offer in ladder
            if any(offer.kind in kinds and _can(offer, crowd, row, session) for row, kinds in needing)
        )
        if further:
            more[ref] = further
    return with_more(offers, more, library, cache, progress) if more else offers


def _needs(step: CellOutcome, crowd: People, row: int) -> set[OptionKind]:
    """Which kinds of further rungs someone needs: any where the led one lacks kit or is to be avoided, the easier ones
    where nothing can be finished, the harder ones where all there is would be too easy.
    """
    own = [one for one in step.candidates if one.may[row]]
    fit = {OptionKind.EASIER, OptionKind.HARDER} if not crowd.new[row] else {OptionKind.EASIER}
    if not any(one.kind is None for one in own):
        return fit
    choice = int(step.choice[row])
    if choice == NOTHING or step.choice[row - USUAL] == NOTHING:
        return {OptionKind.EASIER}
    one = step.candidates[choice]
    easy = one.left[row] > max(TOO_EASY_LEFT, TOO_EASY_TIMES * one.dose)
    higher = any(each.kind is OptionKind.HARDER for each in own)
    return {OptionKind.HARDER} & fit if easy and not higher else set()


def _ladder(slot: ScheduledCell, session: Session) -> Iterator[Offer]:
    """The rungs of the cell's ladder as offers; those that its dose does not fit are passed over."""
    for rung in slot.cell.move.versions:
        try:
            option = beside(slot.cell, rung, session.kit, slot.number + 1)
        except Invalid:
            continue
        yield offer_of(option.kind, option.rung, option.bouts)


def _can(offer: Offer, crowd: People, row: int, session: Session) -> bool:
    """Whether someone has the kit for it and avoids none of it."""
    own = crowd.kits[crowd.kit[row]]
    kit = room_kit(session.kit) if own is None else own
    limits = {caution for caution, avoids in zip(CAUTIONS, crowd.limits[row], strict=True) if avoids}
    most_kg = most_of_body_mass(offer.form) * float(crowd.mass_kg[row])
    light = (
        [one for one in pieces(kit, offer.form.load) if one.mass.mass_kg * offer.pieces <= most_kg]
        if offer.pieces
        else [0]
    )
    return bool(light) and allows(kit, offer) and not limits & offer.cautions
