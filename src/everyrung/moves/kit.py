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
    Surface.TABLE: (KitItem.TABLE,),
    Surface.STEP: (KitItem.STEP,),
    Surface.SLIDERS: (KitItem.SLIDERS,),
    Surface.BAND: (KitItem.BAND,),
    Surface.BALL_WALL: (KitItem.BALL, KitItem.WALL),
}
_LOAD_KIT = {
    LoadNeed.ONE: KitItem.DUMBBELLS,
    LoadNeed.PAIR: KitItem.DUMBBELLS,
    LoadNeed.KETTLEBELL: KitItem.KETTLEBELL,
    LoadNeed.MEDICINE_BALL: KitItem.MEDICINE_BALL,
    LoadNeed.BAND: KitItem.BAND,
    LoadNeed.MINI_BAND: KitItem.MINI_BAND,
}
# What does as well (common practice, no source): whatever has a handle, and what slides.
_INSTEAD = {
    KitItem.DUMBBELLS: (KitItem.KETTLEBELL, KitItem.RUCKSACK, KitItem.WATER_CAN),
    KitItem.SLIDERS: (KitItem.TOWEL,),
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
    if form.load in _LOAD_KIT:
        items.add(_LOAD_KIT[form.load])
    return tuple(
        KitNeed(item=item, pieces=max(1, form.load.pieces) if item.has_mass else 1, instead=_instead(item, form))
        for item in _ORDER
        if item in items
    )


def kit_for(load: LoadNeed) -> KitNeed:
    """What a load asks for. Raises KeyError for none."""
    item = _LOAD_KIT[load]
    return KitNeed(item=item, pieces=max(1, load.pieces), instead=_INSTEAD.get(item, ()))


def _instead(item: KitItem, form: Form) -> tuple[KitItem, ...]:
    """What does as well: a bench where nobody holds on to a chair's back, a pillow under or between the knees."""
    if item is KitItem.CHAIR:
        return (KitItem.BENCH,) if form.hold is not Hold.CHAIR else ()
    knees = item is KitItem.BALL and form.surface is Surface.BALL_BETWEEN
    kneeling = item is KitItem.MAT and form.position in (Position.KNEELING, Position.HALF_KNEELING)
    return (KitItem.PILLOW,) if knees or kneeling else _INSTEAD.get(item, ())
