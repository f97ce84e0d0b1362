"""The other versions of a set in a few words, for whoever has no kit, avoids something, or has plenty left."""

import re
from collections.abc import Iterator

from everyrung.moves.entry_tests import first_question
from everyrung.terms.enums import Caution, Hold, KitItem, OptionKind
from everyrung.terms.frozen import dataclass
from everyrung.terms.session import Cell, Option

# Who a version is for, in the order of saying: those at home and those with limits can't wait, the strong can.
ORDER = (OptionKind.NO_KIT, OptionKind.EASIER, OptionKind.HARDER)
_WITHOUT = {
    KitItem.BALL: "no ball", KitItem.BAND: "no band", KitItem.MINI_BAND: "no band", KitItem.CHAIR: "no chair",
    KitItem.STEP: "no step", KitItem.SLIDERS: "no sliders", KitItem.KETTLEBELL: "no kettlebell",
    KitItem.MEDICINE_BALL: "no medicine ball", KitItem.DUMBBELLS: "no weights", KitItem.BENCH: "no bench",
    KitItem.TABLE: "no table", KitItem.TOWEL: "no towel", KitItem.RUCKSACK: "no rucksack",
    KitItem.WATER_CAN: "no water can",
}  # fmt: skip
_AVOIDS = {
    Caution.LYING_BACK: "not on your back", Caution.LYING_FRONT: "not on your front", Caution.OVERHEAD: "arms low",
    Caution.HELD_BREATH: "no held breath", Caution.FALL_RISK: "steadier", Caution.DEEP_KNEE: "sore knees",
    Caution.WRIST_LOAD: "sore wrists", Caution.TO_FLOOR: "off the floor", Caution.KNEELING: "not kneeling",
    Caution.BACK_LOAD: "easy on the back", Caution.SHOULDER_LOAD: "sore shoulders", Caution.HEAD_LOW: "head up",
    Caution.IMPACT: "no jumping",
}  # fmt: skip
# Other words for whom a version is, for when the same was just said.
_OTHERWISE = {"Easier: ": ("Or easier: ", "To ease it: "), "Harder: ": ("Or harder: ", "For more: ")}
_EMPTY = re.compile(r", (?:no (?:ball|kit|band|weights?|chair|step)|without (?:a |the )?\w+)\b")


@dataclass(frozen=True, slots=True, kw_only=True)
class Version:
    """One other rung: the words that name it, the question that decides, and its places among the cell's rungs (0 is
    the one that is led). `must` is for whom what is led is closed: they wait for it.
    """

    text: str
    question: str
    rungs: tuple[int, ...]
    must: bool


def versions(cell: Cell, limits: tuple[Caution, ...], *, after_first_set: bool) -> tuple[Version, ...]:
    """Each other rung once, with all that it is good for: 'No ball: Wall slide, half depth.'

    `limits`: what somebody present avoids; `after_first_set`: one of this move was done, which questions may ask about.

    >>> from everyrung import analyze
    >>> session = analyze("examples/boathouse-30.toml").session
    >>> curl = next(cell for cell in session.cells if cell.ref.cell == "curl")
    >>> [each.text for each in versions(curl, session.who.limits, after_first_set=False)]
    ['No ball: Bridge on the heels.', 'Not on your back: Standing hinge to the wall.', 'Harder: full depth.']
    """
    by_name: dict[str, list[tuple[int, Option, str]]] = {}
    for kind in ORDER:
        option = cell.option(kind)
        if option and (option.rung.form, option.rung.name) != (cell.rung.form, cell.rung.name):
            place = 1 + cell.options.index(option)
            by_name.setdefault(short_name(cell, option), []).append((place, option, _label(cell, option, limits)))
    return tuple(_version(name, each, after_first_set=after_first_set) for name, each in by_name.items())


def version_wordings(text: str) -> tuple[str, ...]:
    """The same version, then in other words.

    >>> version_wordings("Easier: half depth.")
    ('Easier: half depth.', 'Or easier: half depth.', 'To ease it: half depth.')
    """
    for usual, others in _OTHERWISE.items():
        if text.startswith(usual):
            return (text, *(f"{each}{text.removeprefix(usual)}" for each in others))
    label, _, name = text.partition(": ")
    one, _, other = label.partition(" or ")
    return (text, f"{other.capitalize()} or {one.lower()}: {name}" if other else f"Or {label.lower()}: {name}")


def _version(name: str, each: list[tuple[int, Option, str]], *, after_first_set: bool) -> Version:
    labels = list(dict.fromkeys(label for _, _, label in each))
    option = each[0][1]
    test = option.rung.entry_test if after_first_set else first_question(option.rung.entry_test, option.rung.form)
    return Version(
        text=f"{' or '.join(labels).capitalize()}: {name}.",
        question=test,
        rungs=tuple(place for place, _, _ in each),
        must=any(one.kind is not OptionKind.HARDER for _, one, _ in each),
    )


def _label(cell: Cell, option: Option, limits: tuple[Caution, ...]) -> str:
    """Whom it is for: without the kit that it needs less of, else clear of a limit, else easier or harder."""
    if option.kind is OptionKind.NO_KIT:
        return next(_less_kit(cell, option), "no kit")
    if option.kind is OptionKind.EASIER:
        clear = [each for each in limits if each in cell.rung.cautions and each not in option.rung.cautions]
        return next((_AVOIDS[each] for each in clear), "easier")
    return "harder"


def _less_kit(cell: Cell, option: Option) -> Iterator[str]:
    there = {need.item for need in option.rung.kit}
    return (_WITHOUT[need.item] for need in cell.rung.kit if need.item in _WITHOUT and need.item not in there)


def short_name(cell: Cell, option: Option) -> str:
    """A version's name without what it shares with the led one's, and without what its label says.

    Of 'Split squat, hand on the wall' beside 'Split squat, one dumbbell' only 'hand on the wall' is left.
    """
    name = _EMPTY.sub("", option.rung.name)
    lead, own = cell.rung.name.split(", "), name.split(", ")
    if option.rung.form.move == cell.rung.form.move and own[0] == lead[0]:
        return ", ".join(own[1:]) or _plain(cell, option) or name
    stem = min(lead[0], own[0], key=len)
    if option.rung.form.move == cell.rung.form.move and own[0].startswith(f"{stem} with "):
        return ", ".join([own[0].removeprefix(f"{stem} "), *(part for part in own[1:] if part not in lead)])
    return name


def _plain(cell: Cell, option: Option) -> str:
    """What differs where a name says no more: 'full depth', 'hands free'; '' where no rule knows."""
    lead, own = cell.rung.form, option.rung.form
    empty = cell.bouts[0].load is not None and option.load is None
    differences = {
        "full depth": own.range_share > lead.range_share,
        "less far": own.range_share < lead.range_share,
        "hands free": own.hold is Hold.NONE and lead.hold is not Hold.NONE,
        "empty hands": empty,
        "without the pause": own.tempo.bottom_ms + own.tempo.top_ms < lead.tempo.bottom_ms + lead.tempo.top_ms,
        "a little quicker": own.tempo.rep_ms < lead.tempo.rep_ms,
    }
    return next((words for words, differ in differences.items() if differ), "")
