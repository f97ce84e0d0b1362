"""What is new at a set: kit to take up or put down, and what it asks more of than in the round before."""

from collections.abc import Iterator

from everyrung.moves.changed_levers import changed_levers, size
from everyrung.moves.lever_words import this_time
from everyrung.terms.enums import KitItem
from everyrung.terms.session import Cell
from everyrung.terms.timeline import KitInUse

_TAKEN = {
    KitItem.BALL: "take the ball", KitItem.BAND: "take the band", KitItem.CHAIR: "fetch the chair",
    KitItem.STEP: "go to the step", KitItem.SLIDERS: "take the sliders", KitItem.WALL: "go to the wall",
}  # fmt: skip
_LEFT = {
    KitItem.DUMBBELLS: "weights down", KitItem.BALL: "ball away", KitItem.BAND: "band away",
    KitItem.CHAIR: "chair away", KitItem.SLIDERS: "sliders away",
}  # fmt: skip


def kit_said(before: tuple[KitInUse, ...], after: tuple[KitInUse, ...]) -> str:
    """'Weights down, take the ball, go to the wall.' Nothing when all stays in hand."""
    new = [held for held in after if held not in before]
    taken = {held.item for held in new}  # what is exchanged need not be put down first
    gone = [held.item for held in before if held not in after and held.item not in taken]
    parts = [_LEFT[item] for item in gone if item in _LEFT]
    parts += [_taken(held) for held in sorted(new, key=lambda held: held.item is KitItem.WALL)]
    if KitItem.BALL in taken and any(held.item is KitItem.DUMBBELLS for held in set(before) & set(after)):
        parts = ["weights down", *parts, "weights up again last"]  # nobody places a ball with full hands
    return f"{', '.join(parts).capitalize()}." if parts else ""


def _taken(held: KitInUse) -> str:
    """'take two dumbbells, 10 lb each'."""
    if held.item is not KitItem.DUMBBELLS:
        return _TAKEN[held.item]
    if " x " in held.label:
        return f"take two dumbbells, {held.label.rpartition(' x ')[2]} each"
    return f"take {'two dumbbells' if ' + ' in held.label else 'one dumbbell'}, {held.label}"


def changes_said(before: Cell, after: Cell) -> Iterator[str]:
    """What a name may not tell: further, slower, with a pause. Another move, load or base is in the name or fetched."""
    for lever in changed_levers(before, after):
        (_, old), (_, new) = size(lever, before), size(lever, after)
        words = this_time(lever, old, new)
        if words:
            yield f"{words} this time."
