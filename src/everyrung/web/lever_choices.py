"""The levers that a coach can choose from a list, grouped by what they change, each with its words and its table."""

import json
from collections.abc import Iterator, Mapping, Sequence
from functools import cache

from everyrung.moves.lever_words import lever_phrase, read_lever
from everyrung.moves.levers import apply, check
from everyrung.moves.library import standard_library
from everyrung.terms.enums import Extra, Hold, Press, Reach, Rotation, Sidedness, Support, Surface
from everyrung.terms.errors import Invalid
from everyrung.terms.lever import LEVER_WORDS
from everyrung.terms.move import Form

# Steps that a coach takes; chosen, because each is one clear change, and any other can be written in the text.
_STEPS: dict[str, Sequence[Mapping[str, object]]] = {
    "range": [{"range": share} for share in (0.5, 0.75, 1.25)],
    "pause": [{"pause": f"{seconds} s"} for seconds in (1, 2, 3)]
    + [{"pause": f"{seconds} s", "at": "top"} for seconds in (1, 2, 3)],
    "tempo": [{"tempo": each} for each in ("3-0-2-0", "4-0-2-0", "5-0-2-0", "1-0-1-0")],
    "reps": [{"reps": each} for each in (2, 4, -2, -4)],
    "load": [{"load": each} for each in ("one", "pair", "band", "none")],
    "reach": [{"reach": str(each)} for each in Reach],
    "press": [{"press": str(each)} for each in Press],
    "rotation": [{"rotation": str(each)} for each in Rotation],
    "base": [{"base": str(each)} for each in (*Support, *Hold)],
    "unilateral": [{"unilateral": str(each)} for each in Sidedness if each is not Sidedness.BOTH],
    "pulse": [{"pulse": each} for each in (2, 3, 5)],
    "extra": [{"extra": str(each)} for each in Extra],
    "surface": [{"surface": str(each)} for each in Surface],
}


@cache
def lever_choices(form: Form) -> tuple[tuple[str, tuple[tuple[str, str], ...]], ...]:
    """By lever word, (words, JSON table) of every step that this form can take, is changed by, and is posed with."""
    found = ((word, tuple(_fitting(form, word))) for word in LEVER_WORDS)
    return tuple((word, choices) for word, choices in found if choices)


def _fitting(form: Form, word: str) -> Iterator[tuple[str, str]]:
    for table in _STEPS.get(word, []):
        try:
            lever = read_lever(table)
            made = apply(lever, form)
            check(made)
        except Invalid:
            continue
        if made != form and standard_library().takes(made):
            yield lever_phrase(lever), json.dumps(table)


@cache
def round_levers() -> tuple[tuple[str, str], ...]:
    """(words, JSON table) of the steps for a whole round: those that most moves can take."""
    tables = [each for word in ("pause", "tempo", "reps", "pulse") for each in _STEPS[word]]
    return tuple((lever_phrase(read_lever(table)), json.dumps(table)) for table in tables)
