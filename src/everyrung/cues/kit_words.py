"""Kit in words: what is put down, kept and fetched before a set, and between its sides."""

import re

from everyrung.terms.enums import KitItem
from everyrung.terms.sentences import lower_first
from everyrung.terms.timeline import KitInUse

_TAKE = {
    KitItem.BALL: "take the ball", KitItem.BAND: "take the band",
    KitItem.MINI_BAND: "step into the mini band", KitItem.CHAIR: "fetch the chair",
    KitItem.STEP: "go to the step", KitItem.TABLE: "go to the table", KitItem.SLIDERS: "take the sliders",
    KitItem.BENCH: "fetch the bench", KitItem.WALL: "go to the wall",
}  # fmt: skip
_LEAVE = {
    KitItem.DUMBBELLS: "weights down", KitItem.BALL: "ball away", KitItem.BAND: "band away",
    KitItem.KETTLEBELL: "kettlebell down", KitItem.RUCKSACK: "rucksack down", KitItem.WATER_CAN: "water can down",
    KitItem.MEDICINE_BALL: "medicine ball down",
    KitItem.MINI_BAND: "mini band off",
    KitItem.CHAIR: "chair away", KitItem.SLIDERS: "sliders away", KitItem.BENCH: "bench away",
    KitItem.TOWEL: "towels away",
}  # fmt: skip
# The same job in other words, for when it was just said.
_OTHERWISE = (
    ("weights down", ("put the weights down", "lay the weights down")),
    ("weight down", ("put the weight down", "lay the weight down")),
    ("take two dumbbells", ("fetch two dumbbells", "take both dumbbells")),
    ("take one dumbbell", ("fetch one dumbbell", "take a dumbbell")),
    ("take the", ("fetch the",)),
    ("reach for", ("pick up",)),
    ("go to the wall", ("come to the wall", "over to the wall")),
    ("away from the wall", ("leave the wall", "come away from the wall")),
    ("chair away", ("put the chair away", "move the chair away")),
    ("ball away", ("put the ball away", "roll the ball away")),
)
# Nobody places a ball with full hands.
FETCHES = ("take", "fetch", "reach for", "go to", "step into")
MOST_JOBS = 2  # in one sentence; chosen, because a third is forgotten
BALL_BEFORE_WEIGHTS = "Lift the weights last, once you lean."


def kit_change_words(
    before: tuple[KitInUse, ...], after: tuple[KitInUse, ...], *, lies: bool = False
) -> tuple[str, ...]:
    """What to do with kit before a set, in sentences of one job each: 'Weights down, take the ball.', 'Go to the wall.'

    Nothing when all stays in hand; what stays while something else is put down is said to stay. Who `lies` and stays
    down takes what is within reach.
    """
    sentences = _kit_change(before, after)
    return tuple(re.sub(r"\b(t|T)ake (?=the|one|two)", _reach, each) for each in sentences) if lies else sentences


def _reach(take: re.Match[str]) -> str:
    return "reach for " if take[1] == "t" else "Reach for "


def _kit_change(before: tuple[KitInUse, ...], after: tuple[KitInUse, ...]) -> tuple[str, ...]:
    new = [kit for kit in after if kit not in before]
    new_items = {kit.item for kit in new}  # what is exchanged need not be put down first
    old = [kit for kit in before if kit not in after and kit.item not in new_items]
    old_items = [kit.item for kit in old]
    if KitItem.BALL in new_items and any(kit.item is KitItem.DUMBBELLS for kit in after):
        weights = next(kit for kit in after if kit.item is KitItem.DUMBBELLS)
        down = (
            _leave(weights).capitalize()
            if weights in before
            else f"{take_words(weights).capitalize()}, down by your feet"
        )
        to = "ball to the wall" if any(kit.item is KitItem.WALL for kit in after) else "take the ball"
        return (f"{down}, {to}.", BALL_BEFORE_WEIGHTS)
    hands = [*(_leave(kit) for kit in old if kit.item in _LEAVE), *_stays(old_items, before, after),
             *(_exchange(before, kit) for kit in new if kit.item is not KitItem.WALL)]  # fmt: skip
    leaves = ["away from the wall"] if KitItem.WALL in old_items else []
    goes = ["go to the wall"] if KitItem.WALL in new_items else []
    order = (hands, leaves, goes) if any(item in _LEAVE for item in old_items) else (leaves, hands, goes)
    whole = [part for each in order for part in each]
    if len(whole) <= MOST_JOBS:
        return (_sentence(whole),) if whole else ()
    return tuple(_sentence(part) for part in order if part)


def kit_wordings(sentence: str) -> tuple[str, ...]:
    """The same sentence, then the same job in other words.

    >>> kit_wordings("Weights down, take the ball.")
    ('Weights down, take the ball.', 'Put the weights down, take the ball.', 'Lay the weights down, take the ball.')
    """
    plain = lower_first(sentence)
    usual, others = next(((usual, others) for usual, others in _OTHERWISE if plain.startswith(usual)), ("", ()))
    return (sentence, *(f"{each}{plain.removeprefix(usual)}".capitalize() for each in others))


def usual_words(sentence: str) -> str:
    """The job of any of `kit_wordings` in its usual words, so that two of them can be told to be one.

    >>> usual_words("Lay the weights down, take the ball.")
    'Weights down, take the ball.'
    """
    plain = lower_first(sentence)
    pairs = ((usual, other) for usual, others in _OTHERWISE for other in others)
    ways = (f"{usual}{plain.removeprefix(other)}" for usual, other in pairs if plain.startswith(other))
    return next(ways, plain).capitalize()


def kit_back_words(items: frozenset[KitItem]) -> str:
    """Where kit goes at the end: 'Balls and dumbbells back where you found them.'; '' where nothing was fetched."""
    names = [
        f"{item}{'es' if item.value.endswith('ch') else 's'}" if not item.value.endswith("s") else str(item)
        for item in KitItem
        if item in items and item in _LEAVE
    ]
    if not names:
        return ""
    phrase = f"{', '.join(names[:-1])} and {names[-1]}" if len(names) > 1 else names[0]
    return f"{phrase.capitalize()} back where you found them."


def _leave(kit: KitInUse) -> str:
    """'weights down', or of one alone 'weight down'."""
    two = " x " in kit.label or " + " in kit.label
    if kit.item.has_mass and kit.item is not KitItem.DUMBBELLS and two:
        return f"{kit.item}s down"
    return "weight down" if kit.item is KitItem.DUMBBELLS and not two else _LEAVE[kit.item]


def take_words(kit: KitInUse) -> str:
    """'take two dumbbells, 10 lb each'."""
    pair = " of 2 x "
    if pair in kit.label:
        return f"take two {kit.item}s, {kit.label.rpartition(pair)[2]} each"
    if kit.item is not KitItem.DUMBBELLS:
        return _TAKE.get(kit.item, f"take the {kit.label}")
    if " x " in kit.label:
        return f"take two dumbbells, {kit.label.rpartition(' x ')[2]} each"
    return f"take {'two dumbbells' if ' + ' in kit.label else 'one dumbbell'}, {kit.label}"


def _exchange(before: tuple[KitInUse, ...], new: KitInUse) -> str:
    """One more or one less of the same weight, or another thing."""
    old = next((kit.label for kit in before if kit.item is new.item is KitItem.DUMBBELLS), "")
    if old and new.label == f"2 x {old}":
        return "take the second dumbbell"
    return "put one dumbbell down" if old and old == f"2 x {new.label}" else take_words(new)


def _stays(old_items: list[KitItem], before: tuple[KitInUse, ...], after: tuple[KitInUse, ...]) -> list[str]:
    """'keep the ball', where other things are put down."""
    same_items = [kit.item for kit in after if kit in before and kit.item in (KitItem.BALL, KitItem.BAND)]
    return [f"keep the {item}" for item in same_items] if any(item in _LEAVE for item in old_items) else []


def _sentence(parts: list[str]) -> str:
    """A comma parts what is put away from what is fetched, 'and' two things that are fetched."""
    fetch = [part.startswith(FETCHES) for part in parts]
    phrase = " and ".join(parts) if len(parts) == MOST_JOBS and all(fetch) else ", ".join(parts)
    return f"{phrase.capitalize()}."
