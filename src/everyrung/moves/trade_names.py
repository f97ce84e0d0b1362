"""What the trade calls kit when it speaks, what a number measures that is no count, and moves by any name.

Common practice, no source; only words that are nobody's mark.
"""

import re
from collections.abc import Iterator

from everyrung.moves.library import Library, plain_words
from everyrung.terms.enums import KitItem
from everyrung.terms.move import Move

# Singular, small letters; the item's own name comes first, and need not be written.
_KIT = {
    KitItem.DUMBBELLS: ("dumbbell", "hand weight", "free weight", "dumb bell"),
    KitItem.KETTLEBELL: ("kettle bell",),
    KitItem.MEDICINE_BALL: ("med ball", "slam ball", "weighted ball"),
    KitItem.RUCKSACK: ("backpack", "pack"),
    KitItem.WATER_CAN: ("can of water", "jerry can", "water bottle", "bottle of water"),
    KitItem.BALL: ("gym ball", "exercise ball", "swiss ball", "stability ball", "fitness ball", "big ball"),
    KitItem.BAND: ("long band", "resistance band", "exercise band", "elastic band", "rubber band", "tube"),
    KitItem.MINI_BAND: ("loop band", "booty band", "hip band", "small band", "band loop", "mini loop"),
    KitItem.CHAIR: ("stool", "kitchen chair", "dining chair"),
    KitItem.BENCH: ("weight bench", "flat bench"),
    KitItem.TABLE: ("worktop", "kitchen counter", "countertop", "desk", "window sill"),
    KitItem.STEP: ("step box", "low box", "stair", "aerobic step"),
    KitItem.SLIDERS: ("slider", "gliding disc", "sliding disc", "glider", "paper plate"),
    KitItem.TOWEL: ("hand towel",),
    KitItem.PILLOW: ("cushion", "bolster"),
    KitItem.MAT: ("exercise mat", "gym mat", "yoga mat", "rug"),
    KitItem.WALL: ("bare wall",),
}
# What a number measures where it counts no repetitions: "ten pounds", "thirty seconds", "twenty degrees".
_MEASURES = re.compile(
    r"s(?:ec(?:ond)?)?s?|min(?:ute)?s?|hours?|kilo(?:gram)?s?|kgs?|grams?|pounds?|lbs?|(?:centi|milli)?metres?|[cm]?m"
    r"|inch(?:es)?|foot|feet|degrees?|percent|per|beats?|breaths?|steps?|rounds?|sets?|years?|people|o'clock"
)


def kit_names(item: KitItem) -> tuple[str, ...]:
    """What an item is called, its own name first.

    >>> kit_names(KitItem.BALL)[:3]
    ('ball', 'gym ball', 'exercise ball')
    """
    return (item.value, *_KIT[item])


def kit_by_name(words: str) -> KitItem | None:
    """The item of these very words, in singular or plural; None for none.

    >>> kit_by_name("Swiss balls"), kit_by_name("swan")
    (<KitItem.BALL: 'ball'>, None)
    """
    name = plain_words(words)
    return next((item for item in KitItem for each in kit_names(item) if plain_words(each) == name), None)


def kit_pattern(item: KitItem) -> str:
    """A regular expression for every name of an item, singular and plural, the longest first.

    >>> bool(re.fullmatch(kit_pattern(KitItem.MINI_BAND), "loop bands"))
    True
    """
    names = sorted(kit_names(item), key=len, reverse=True)
    return "|".join(re.escape(name).replace(r"\ ", "[ -]").removesuffix("s") + "(?:e?s)?" for name in names)


def is_measure(word: str) -> bool:
    """Whether a number before this word counts no repetitions.

    >>> is_measure("seconds"), is_measure("reps")
    (True, False)
    """
    return _MEASURES.fullmatch(word.casefold()) is not None


def moves_by_name(library: Library, words: str) -> tuple[Move, ...]:
    """The moves that somebody may mean: by name and by what else the trade says first, then by a version's name, by
    what it works and its pattern. Every word has to be there; () for none.

    >>> from everyrung.moves.library import standard_library
    >>> [move.key for move in moves_by_name(standard_library(), "press-ups")][:1]
    ['push-up']
    """
    query = plain_words(words).split()
    if not query:
        return ()
    moves = [library.move(key) for key in library.keys]
    ranks = [(_rank(move, query), move) for move in moves]
    return tuple(move for rank, move in sorted(ranks, key=lambda each: each[0]) if rank < _NOWHERE)


_NOWHERE = 9


def _rank(move: Move, query: list[str]) -> int:
    for place, texts in enumerate(_texts(move)):
        lists = [plain_words(each).split() for each in texts]
        if query in lists:
            return 2 * place
        if any(all(any(word.startswith(part) for word in words) for part in query) for words in lists):
            return 2 * place + 1
    return _NOWHERE


def _texts(move: Move) -> Iterator[list[str]]:
    yield [move.name, move.key]
    yield [*move.also]
    yield [version.name for version in move.versions]
    yield [*move.focus, str(move.pattern)]
