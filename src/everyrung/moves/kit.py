"""What one person needs for a form, read off the form itself."""

from everyrung.terms.enums import (
    Hold,
    KitItem,
    LoadNeed,
    Position,
    Surface,
)
from everyrung.terms.move import Form, KitNeed

_ORDER = tuple(KitItem)
_SURFACE_KIT = {
    Surface.WALL: (KitItem.WALL,),
    Surface.CHAIR: (KitItem.CHAIR,),
    Surface.STEP: (KitItem.STEP,),
    Surface.SLIDERS: (KitItem.SLIDERS,),
    Surface.BAND: (KitItem.BAND,),
    Surface.BALL_WALL: (KitItem.BALL, KitItem.WALL),
}


def kit_of(form: Form) -> tuple[KitNeed, ...]:
    """The kit of one form, each item once, in the order of the vocabulary."""
    items: set[KitItem] = set(_SURFACE_KIT.get(form.surface, ()))
    if form.surface.value.startswith(("ball", "sitting on the ball")):
        items.add(KitItem.BALL)
    if form.position is Position.SEATED and form.surface is not Surface.BALL_SEAT:
        items.add(KitItem.CHAIR)
    if form.position.on_floor:
        items.add(KitItem.MAT)
    if form.hold is not Hold.NONE:
        items.add(KitItem.WALL if form.hold is Hold.WALL else KitItem.CHAIR)
    if form.load is LoadNeed.BAND:
        items.add(KitItem.BAND)
    needs = [KitNeed(item=item) for item in _ORDER if item in items]
    if form.load in (LoadNeed.ONE, LoadNeed.PAIR):
        pieces = 2 if form.load is LoadNeed.PAIR else 1
        needs.insert(0, KitNeed(item=KitItem.DUMBBELLS, pieces=pieces))
    return tuple(needs)
