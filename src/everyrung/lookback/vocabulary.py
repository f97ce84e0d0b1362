"""The words of this plan: names of its moves and versions, sides, rounds; what it does not hold, for strays."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

import jellyfish

from everyrung.cues.speech import number_words
from everyrung.lookback.plan_sets import PlanSet
from everyrung.lookback.transcript import plain_words
from everyrung.moves.library import Library
from everyrung.terms.enums import BlockKind, Side
from everyrung.terms.move import Move

# How much less a name says than the move's own, in nats; chosen: a short name stands for other things too.
SHORT_NAME, OTHER_VERSION, MOVE_NAME_AT_SWITCH = -0.7, -1.5, -1.5
SWITCH = (
    "other side", "other leg", "other arm", "switch", "switch sides", "change sides", "swap sides", "swap over",
    "swap legs", "swap arms", "change legs", "change over", "switch legs",
)  # fmt: skip
_OTHER_SIDE = ("then {}", "now {}", "to the {}", "on the {}")
_AGAIN = ("same side", "once more {}", "{} again", "again {}", "one more time {}")
_BLOCK_WORDS = {
    BlockKind.WARM_UP: ("warm up", "warming up"),
    BlockKind.COOL_DOWN: ("cool down", "time to stretch", "cooling down"),
}
_ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth")
_DULL = {"the", "a", "an", "of", "on", "in", "at", "to", "with", "and", "up", "down", "out", "over", "arm", "leg"}
LEAST_LETTERS = 3  # of a name of one word
COUNT_IN = (("three", "two", "one"), ("3", "2", "1"))


class Role(StrEnum):
    """What a phrase tells: a set's name or side, the round that begins, that the set is done once more, the count
    before its first repetition, or a move that the plan does not hold.
    """

    NAME = "name"
    ROUND = "round"
    AGAIN = "again"
    COUNT = "count"
    STRAY = "stray"


@dataclass(frozen=True, slots=True, kw_only=True)
class Phrase:
    """Words to listen for. `sets` are the places in the plan that they may begin, each with nats for how well they fit;
    `move` is what a stray is called.
    """

    role: Role
    words: tuple[str, ...]
    sets: tuple[tuple[int, float], ...]
    move: str = ""

    @property
    def letters(self) -> str:
        """Its letters, as they are compared."""
        return run_together(self.words)


def run_together(words: Sequence[str]) -> str:
    """Words without spaces, and one or several the same: words that are run together are found, and "squats".

    >>> run_together(["press", "ups"])
    'pressup'
    """
    return "".join(word[:-1] if len(word) > 2 and word.endswith("s") and word[-2] != "s" else word for word in words)


@cache
def sound(text: str) -> str:
    """How letters sound: Philips' metaphone key (Philips 1990, Computer Language 7(12):39), by jellyfish.

    >>> sound("planck") == sound("plank"), sound("lunch"), sound("lunge")
    (True, 'LNX', 'LNJ')
    """
    return jellyfish.metaphone(text)


def vocabulary(sets: Sequence[PlanSet], moves: Library) -> tuple[Phrase, ...]:
    """Every phrase to listen for, the same words once."""
    fits: dict[tuple[Role, tuple[str, ...]], dict[int, float]] = {}
    for role, text, place, nats in [*_names(sets, moves), *_switches(sets), *_rounds(sets)]:
        words = tuple(plain_words(text.replace("-", " ")))
        if words:
            at = fits.setdefault((role, words), {})
            at[place] = max(nats, at.get(place, nats))
    phrases = [Phrase(role=role, words=words, sets=tuple(sorted(at.items()))) for (role, words), at in fits.items()]
    every = tuple((place, 0.0) for place in range(len(sets)))
    own = {phrase.words for phrase in phrases}
    return (
        *phrases,
        *(Phrase(role=Role.COUNT, words=words, sets=every) for words in COUNT_IN),
        *(each for each in _strays(sets, moves) if each.words not in own),
    )


Fit = tuple[Role, str, int, float]


def _names(sets: Sequence[PlanSet], moves: Library) -> Iterator[Fit]:
    for place, each in enumerate(sets):
        price = MOVE_NAME_AT_SWITCH if each.part else 0.0
        rung = each.cell.rung
        same = [moves.move(rung.form.move)] if rung.form.move in moves.keys else []
        yield from ((Role.NAME, name, place, price) for name in {rung.name, before_comma(rung.name)})
        for move in dict.fromkeys([each.cell.move, *same]):
            yield from ((Role.NAME, name, place, price) for name in (move.name, *move.also))
            yield from ((Role.NAME, name, place, price + OTHER_VERSION) for name in _version_names(move))
            yield from (
                (Role.NAME, part, place, price + SHORT_NAME * less)
                for name in (move.name, *move.also)
                for less, part in name_ends(name)
            )
        yield Role.NAME, each.cell.ref.cell.replace("-", " "), place, price + SHORT_NAME


def name_ends(name: str) -> Iterator[tuple[int, str]]:
    """A name without its first words, and how many are gone."""
    words = name.replace("-", " ").split()
    for fewer in range(1, len(words)):
        rest = words[fewer:]
        if rest[0] not in _DULL and (len(rest) > 1 or len(rest[0]) >= LEAST_LETTERS):
            yield fewer, " ".join(rest)


def before_comma(name: str) -> str:
    """A version's name without what it adds: "Squat" of "Squat, half depth"."""
    return name.partition(",")[0]


def _version_names(move: Move) -> Iterator[str]:
    """Other versions of the move itself: a leader may show one that the plan has elsewhere."""
    names = (before_comma(rung.name) for rung in move.ladder)
    yield from (name for name in names if " " in name)


def _switches(sets: Sequence[PlanSet]) -> Iterator[Fit]:
    for place, each in enumerate(sets):
        if each.part and each.bout.side is not Side.BOTH:
            side = each.bout.side
            yield from ((Role.NAME, words, place, 0.0) for words in SWITCH)
            yield from ((Role.NAME, words.format(side), place, 0.0) for words in _OTHER_SIDE)
            limbs = ("side", "leg", "foot", "arm", "hand", "knee")
            yield from ((Role.NAME, f"{side} {limb}", place, SHORT_NAME) for limb in limbs)
        if each.part or not each.is_last_part:
            yield from ((Role.AGAIN, words.format(each.bout.side), place, 0.0) for words in _AGAIN)


def _rounds(sets: Sequence[PlanSet]) -> Iterator[Fit]:
    """What announces a round or a block, at its first set."""
    for place, each in enumerate(sets):
        before = sets[place - 1].cell.ref if place else None
        if before and (before.block, before.round) == (each.cell.ref.block, each.cell.ref.round):
            continue
        if before is None or before.block != each.cell.ref.block:
            yield from ((Role.ROUND, words, place, 0.0) for words in _BLOCK_WORDS.get(each.block_kind, ()))
        if each.block_kind is BlockKind.MAIN:
            number = each.round_place
            ordinal = [f"{_ORDINALS[number]} round"] if number < len(_ORDINALS) else []
            yield from ((Role.ROUND, words, place, 0.0) for words in (f"round {number_words(number + 1)}", *ordinal))
            if not any(later.block_kind is each.block_kind and later.round_place > number for later in sets):
                yield from ((Role.ROUND, words, place, 0.0) for words in ("last round", "final round"))


def _strays(sets: Sequence[PlanSet], moves: Library) -> Iterator[Phrase]:
    """Names of moves that the plan holds nowhere, neither led nor beside what is led."""
    offers = {option.rung.form.move for each in sets for option in each.cell.options}
    offers |= {option.rung.move for each in sets for option in each.cell.options}
    here = {each.cell.move.key for each in sets} | {each.cell.rung.form.move for each in sets} | offers
    for move in map(moves.move, moves.keys):
        if move.key not in here:
            for name in dict.fromkeys((move.name, *move.also)):
                words = tuple(plain_words(name.replace("-", " ")))
                if len("".join(words)) > 4 and set(words) - _DULL:
                    yield Phrase(role=Role.STRAY, words=words, sets=(), move=move.name)
