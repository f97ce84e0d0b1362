"""The words of the whole library: what to listen for where there is no plan."""

from collections.abc import Iterator
from dataclasses import dataclass

from everyrung.cues.speech import number_words
from everyrung.lookback.transcript import plain_words
from everyrung.lookback.vocabulary import (
    COUNT_IN,
    OTHER_VERSION,
    SHORT_NAME,
    SWITCH,
    Phrase,
    Role,
    before_comma,
    name_ends,
)
from everyrung.moves.library import Library
from everyrung.terms.enums import BlockKind, Side, Sidedness
from everyrung.terms.move import Move, Rung

SIDES = (Side.LEFT, Side.RIGHT)
MOST_ROUNDS = 8  # chosen, because nobody leads more and counts them aloud
_SIDE_WORDS = ("then {}", "now {}", "to the {}", "{} side", "{} leg", "{} foot", "{} arm", "{} hand", "{} knee")
_PREPOSITIONS = {"on", "at", "over", "from", "to", "with", "in", "off", "behind", "against"}
# Said in every set: parts of the body and of the room, and how a leader tells people to move.
_EVERYWHERE = {
    "knee", "foot", "toe", "side", "heel", "wall", "floor", "hip", "ball", "band", "chair", "back", "breath", "body",
    "waist", "hold", "stand", "standing", "sit", "lower", "lift", "pull", "drop", "bend", "bent", "reach", "squeeze",
    "turn", "twist", "touch", "drive", "slide", "step", "cross", "pass", "throw", "carry", "sweep", "fold", "rolls",
    "four", "apart", "breathing", "lateral", "pot", "boat", "book", "bow", "dog", "morning", "preparation",
}  # fmt: skip
# Names of what one does with a part of the body: "roll the shoulders" says "shoulder rolls".
_DONE_WITH = {"rolls": "roll", "circles": "circle", "stretch": "stretch", "raise": "raise", "lift": "lift"}
_BLOCKS = {
    BlockKind.WARM_UP: ("warm up", "warming up"),
    BlockKind.COOL_DOWN: ("cool down", "cooling down", "time to stretch"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class LibraryWords:
    """What to listen for. `moves` in the order by which a name's phrase counts them; `rounds` and `blocks` say what the
    phrases of these words announce; `versions` are the rungs that bear a name.
    """

    moves: tuple[Move, ...]
    phrases: tuple[Phrase, ...]
    rounds: dict[tuple[str, ...], int]
    blocks: dict[tuple[str, ...], BlockKind]
    switches: dict[tuple[str, ...], Side]

    def with_sides(self, place: int) -> float:
        """The part of a move's versions that are done on one side and then on the other, 0 to 1."""
        ladder = self.moves[place].ladder
        return sum(rung.form.sides is Sidedness.ONE_SIDE for rung in ladder) / len(ladder)


def library_words(library: Library) -> LibraryWords:
    """Names of all moves and versions, sides, rounds, blocks and the count-in; each phrase once."""
    moves = tuple(map(library.move, library.keys))
    fits: dict[tuple[str, ...], dict[int, float]] = {}
    for place, move in enumerate(moves):
        for name, nats in _names(move):
            words = words_of(name)
            if words:
                at = fits.setdefault(words, {})
                at[place] = max(nats, at.get(place, nats))
    rounds = {words_of(text): number for number, text in _rounds()}
    blocks = {words_of(text): kind for kind, texts in _BLOCKS.items() for text in texts}
    switches = dict.fromkeys(map(words_of, SWITCH), Side.BOTH)
    switches |= {words_of(text.format(side)): side for side in SIDES for text in _SIDE_WORDS}
    names = [Phrase(role=Role.NAME, words=words, sets=tuple(sorted(at.items()))) for words, at in fits.items()]
    return LibraryWords(
        moves=moves,
        phrases=(
            *names,
            *(Phrase(role=Role.ROUND, words=words, sets=()) for words in (*rounds, *blocks)),
            *(Phrase(role=Role.AGAIN, words=words, sets=()) for words in switches),
            *(Phrase(role=Role.COUNT, words=words, sets=()) for words in COUNT_IN),
        ),
        rounds=rounds,
        blocks=blocks,
        switches=switches,
    )


def words_of(name: str) -> tuple[str, ...]:
    """A name as a transcript has it.

    >>> words_of("Push-up, feet on the ball")
    ('push', 'up', 'feet', 'on', 'the', 'ball')
    """
    return tuple(plain_words(name.replace("-", " ")))


def version_names(rung: Rung) -> tuple[str, ...]:
    """What a version is called, in full and in short."""
    return tuple(dict.fromkeys((rung.name, before_comma(rung.name))))


def _names(move: Move) -> Iterator[tuple[str, float]]:
    names = (move.name, *move.also)
    yield from ((name, 0.0) for name in names)
    yield from ((end, SHORT_NAME * fewer) for name in names for fewer, end in _ends(name))
    yield from ((order, 0.0) for name in names for order in _orders(name))
    for rung in move.ladder:
        yield rung.name, 0.0
        short = before_comma(rung.name)
        if " " in short:
            yield short, 0.0
            yield from ((end, OTHER_VERSION * fewer) for fewer, end in _ends(short) if " " in end)


def _ends(name: str) -> Iterator[tuple[int, str]]:
    """A name without what follows a preposition, and without its first words: "stretch" of "Calf stretch at the wall".
    No part of the body and no wall alone, for these are named in every set.
    """
    words = name.replace("-", " ").split()
    head = words[: next((at for at, word in enumerate(words) if word in _PREPOSITIONS), len(words))]
    if len(head) < len(words) and " ".join(head) not in _EVERYWHERE:
        yield 1, " ".join(head)
    yield from ((fewer, end) for fewer, end in name_ends(" ".join(head)) if end not in _EVERYWHERE)


def _orders(name: str) -> Iterator[str]:
    """A name as one tells people to do it, by its last two words."""
    *_, part, what = ["", *name.replace("-", " ").casefold().split()]
    if part and what in _DONE_WITH:
        yield from (f"{_DONE_WITH[what]} {whose} {part}" for whose in ("the", "your"))


def _rounds() -> Iterator[tuple[int, str]]:
    ordinals = ("first", "second", "third", "fourth", "fifth", "sixth")
    for number in range(1, MOST_ROUNDS + 1):
        yield number, f"round {number_words(number)}"
        yield number, f"round {number}"
    yield from ((number, f"{ordinal} round") for number, ordinal in enumerate(ordinals, 1))
    yield from ((0, text) for text in ("next round", "last round", "final round"))
