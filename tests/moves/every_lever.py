"""Every lever of the closed vocabularies on every move, by itself and in pairs; what comes of each."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

from everyrung.moves.lever_words import lever_phrase, read_lever
from everyrung.moves.library import Library
from everyrung.terms.enums import (
    BandGrade,
    Carry,
    Extra,
    Hold,
    LoadNeed,
    Press,
    Reach,
    Rotation,
    Sidedness,
    Support,
    Surface,
)
from everyrung.terms.errors import Invalid
from everyrung.terms.lever import Lever
from everyrung.terms.move import Form, Rung

STEPS: tuple[dict[str, object], ...] = (
    *({"range": share} for share in (0.5, 0.75, 1.25)),
    {"pause": "2 s"},
    {"pause": "2 s", "at": "top"},
    {"tempo": "4-0-2-0"},
    {"reps": 2},
    {"pulse": 3},
    *({"load": str(each)} for each in (*LoadNeed, *BandGrade)),
    {"load": "5 kg"},
    {"load": "2 x 5 kg"},
    *({"carry": str(each)} for each in Carry),
    *({"reach": str(each)} for each in Reach),
    *({"press": str(each)} for each in Press),
    *({"rotation": str(each)} for each in Rotation),
    *({"base": str(each)} for each in (*Support, *Hold)),
    *({"unilateral": str(each)} for each in Sidedness if each is not Sidedness.BOTH),
    *({"surface": str(each)} for each in Surface),
    *({"extra": str(each)} for each in Extra),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """One or two levers on a move's base rung: the rung they make, or why they are refused."""

    move: str
    levers: tuple[Lever, ...]
    rung: Rung | None
    why: Invalid | None

    @property
    def name(self) -> str:
        return f"{self.move} with {' and '.join(lever_phrase(lever) for lever in self.levers)}"


def singles(library: Library, moves: Sequence[str]) -> Iterator[Tried]:
    """Every single lever on every one of these moves; a way to carry comes with one piece to hold, or with two."""
    for move in moves:
        for step in STEPS:
            yield tried(library, move, (step,))
        for need in ("one", "pair"):
            yield from (tried(library, move, ({"load": need}, {"carry": str(each)})) for each in Carry)


def pairs(library: Library, move: str) -> Iterator[Tried]:
    """Every two levers of different words that are each accepted on this move."""
    alone = [one.levers[0] for one in singles(library, [move]) if one.rung and len(one.levers) == 1]
    for one, other in combinations(alone, 2):
        if one.word != other.word:
            yield _made(library, move, (one, other))


def tried(library: Library, move: str, tables: Sequence[dict[str, object]]) -> Tried:
    try:
        levers = tuple(read_lever(table) for table in tables)
    except Invalid as problem:
        return Tried(move=move, levers=(), rung=None, why=problem)
    return _made(library, move, levers)


def _made(library: Library, move: str, levers: tuple[Lever, ...]) -> Tried:
    try:
        return Tried(move=move, levers=levers, rung=library.custom_rung(move, "base", levers), why=None)
    except Invalid as problem:
        return Tried(move=move, levers=levers, rung=None, why=problem)


def timing(form: Form) -> tuple[object, ...]:
    """What of a form is time, number or weight, and no pose."""
    return form.tempo, form.pulses, form.extra, form.reps_added, form.load, form.amount, form.band, form.range_share
