"""What people call what they have to avoid, as the limits that it may mean: to be asked about, never to be kept."""

import re
from functools import cache
from typing import Any

from everyrung.parsing.table_reader import one_of
from everyrung.tables.reader import read_table
from everyrung.terms.enums import Caution
from everyrung.terms.errors import Invalid, or_list
from everyrung.terms.frozen import dataclass

_PHRASES = {
    "overhead": "lifting overhead",
    "held breath": "holding the breath",
    "fall risk": "whatever could end in a fall",
    "deep knee bend": "a deep knee bend",
    "wrist load": "weight on the wrists",
    "back bending or twisting under load": "bending or twisting the back under load",
    "shoulder bearing weight": "weight on the shoulders",
    "head low or quick up": "a low head, or coming up quickly,",
    "impact": "jumping and landing",
}
PROFESSIONAL = "a doctor or physiotherapist"
_WORD = re.compile(r"[^\W\d_]+")


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """'Sore knee: is a deep knee bend to be avoided?', and the limit that a yes means."""

    name: str
    limit: Caution
    ask: str = PROFESSIONAL

    def __str__(self) -> str:
        return f"{self.name}: is {limit_phrase(self.limit)} to be avoided?"


def limit_phrase(limit: Caution) -> str:
    """A limit as it stands in a sentence: 'a deep knee bend'."""
    return _PHRASES.get(str(limit), str(limit))


def questions(phrase: str) -> tuple[Question, ...]:
    """What to ask somebody who says so; nothing for words that are not known, and for a limit's own name."""
    if phrase.strip().casefold() in [str(limit) for limit in Caution]:
        return ()
    words = _words(phrase)
    matches = (
        Question(name=name, limit=limit, ask=ask)
        for name, signs, limits, ask in _table()
        if any(_holds(words, sign) for sign in signs)
        for limit in limits
    )
    return tuple({each.limit: each for each in matches}.values())


def limit(value: Any) -> Caution:
    """A parser for one limit, in a file. Raises Invalid, for plain words with the limits that are probably meant."""
    try:
        return one_of(Caution)(value)
    except Invalid as problem:
        guess = probably(str(value))
        raise Invalid(problem.field, problem.expected, value, nearest=problem.nearest, remedy=guess) from None


def probably(phrase: str) -> str:
    """'Probably meant: deep knee bend. Ask first: …'; '' for words that are not known."""
    matches = questions(phrase)
    if not matches:
        return ""
    limits = or_list([str(each.limit) for each in matches])
    whom = or_list(list(dict.fromkeys(each.ask for each in matches)))
    return (
        f"Probably meant: {limits}. Ask which of them is to be avoided, and write that, not the reason. "
        f"Who is not sure asks {whom} first."
    )


def _holds(words: list[str], sign: tuple[str, ...]) -> bool:
    """Whether the words of a sign stand in a row."""
    return any(tuple(words[at : at + len(sign)]) == sign for at in range(len(words) - len(sign) + 1))


def _words(text: str) -> list[str]:
    return _WORD.findall(text.casefold())


@cache
def _table() -> tuple[tuple[str, tuple[tuple[str, ...], ...], tuple[Caution, ...], str], ...]:
    """Names, signs as words, limits, and whom to ask. Raises ValueError for a limit that is none."""
    return tuple(
        (
            row["name"],
            tuple(tuple(_words(sign)) for sign in row["signs"].split("|")),
            tuple(Caution(word) for word in row["limits"].split("|")),
            row["ask"],
        )
        for row in read_table("limit_words").rows
    )
