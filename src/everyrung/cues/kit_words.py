"""Kit in words: what is put down, kept and fetched before a set, and between its sides."""

from everyrung.terms.enums import KitItem
from everyrung.terms.timeline import KitInUse

_TAKE = {
    KitItem.BALL: "take the ball", KitItem.BAND: "take the band",
    KitItem.MINI_BAND: "step into the mini band", KitItem.CHAIR: "fetch the chair",
    KitItem.STEP: "go to the step", KitItem.SLIDERS: "take the sliders", KitItem.WALL: "go to the wall",
}  # fmt: skip
_LEAVE = {
    KitItem.DUMBBELLS: "weights down", KitItem.BALL: "ball away", KitItem.BAND: "band away",
    KitItem.KETTLEBELL: "kettlebell down", KitItem.MEDICINE_BALL: "medicine ball down",
    KitItem.MINI_BAND: "mini band off",
    KitItem.CHAIR: "chair away", KitItem.SLIDERS: "sliders away",
}  # fmt: skip
# Nobody places a ball with full hands.
MOST_JOBS = 2  # in one sentence; chosen, because a third is forgotten
BALL_BEFORE_WEIGHTS = "Lift the weights last, once you lean."


def kit_change_words(before: tuple[KitInUse, ...], after: tuple[KitInUse, ...]) -> tuple[str, ...]:
    """What to do with kit before a set, in sentences of one job each: 'Weights down, take the ball.', 'Go to the wall.'

    Nothing when all stays in hand; what stays while something else is put down is said to stay.
    """
    new = [held for held in after if held not in before]
    fetched = {held.item for held in new}  # what is exchanged need not be put down first
    gone = [held.item for held in before if held not in after and held.item not in fetched]
    if KitItem.BALL in fetched and any(held.item is KitItem.DUMBBELLS for held in after):
        weights = next(held for held in after if held.item is KitItem.DUMBBELLS)
        down = "Weights down" if weights in before else _sentence([take_words(weights)])[:-1] + ", and down"
        to = "ball to the wall" if any(held.item is KitItem.WALL for held in after) else "take the ball"
        return (f"{down}, {to}.", BALL_BEFORE_WEIGHTS)
    hands = [*(_LEAVE[item] for item in gone if item in _LEAVE), *_stays(gone, before, after),
             *(_exchange(before, held) for held in new if held.item is not KitItem.WALL)]  # fmt: skip
    leaves = ["away from the wall"] if KitItem.WALL in gone else []
    goes = ["go to the wall"] if KitItem.WALL in fetched else []
    order = (hands, leaves, goes) if any(item in _LEAVE for item in gone) else (leaves, hands, goes)
    whole = [part for each in order for part in each]
    if len(whole) <= MOST_JOBS:
        return (_sentence(whole),) if whole else ()
    return tuple(_sentence(part) for part in order if part)


def kit_back_words(items: frozenset[KitItem]) -> str:
    """Where kit goes at the end: 'Balls and dumbbells go back where they were.'; '' where nothing was fetched."""
    names = [
        f"{item}s" if not item.value.endswith("s") else str(item)
        for item in KitItem
        if item in items and item in _LEAVE
    ]
    if not names:
        return ""
    joined = f"{', '.join(names[:-1])} and {names[-1]}" if len(names) > 1 else names[0]
    return f"{joined.capitalize()} go back where they were."


def take_words(held: KitInUse) -> str:
    """'take two dumbbells, 10 lb each'."""
    if held.item is not KitItem.DUMBBELLS:
        return _TAKE.get(held.item, f"take the {held.label}")
    if " x " in held.label:
        return f"take two dumbbells, {held.label.rpartition(' x ')[2]} each"
    return f"take {'two dumbbells' if ' + ' in held.label else 'one dumbbell'}, {held.label}"


def _exchange(before: tuple[KitInUse, ...], new: KitInUse) -> str:
    """One more or one less of the same weight, or another thing."""
    old = next((held.label for held in before if held.item is new.item is KitItem.DUMBBELLS), "")
    if old and new.label == f"2 x {old}":
        return "take the second dumbbell"
    return "put one dumbbell down" if old and old == f"2 x {new.label}" else take_words(new)


def _stays(gone: list[KitItem], before: tuple[KitInUse, ...], after: tuple[KitInUse, ...]) -> list[str]:
    """'keep the ball', where other things are put down."""
    kept = [held.item for held in after if held in before and held.item in (KitItem.BALL, KitItem.BAND)]
    return [f"keep the {item}" for item in kept] if any(item in _LEAVE for item in gone) else []


def _sentence(parts: list[str]) -> str:
    return f"{', '.join(parts).capitalize()}."
