"""The levers that a coach can choose from a list, grouped by what they change, each with its words and its table."""

import json
from collections.abc import Iterator
from functools import cache, lru_cache

from everyrung.moves.lever_words import STEPS, lever_phrase, read_lever
from everyrung.moves.levers import apply, check
from everyrung.moves.library import Library, standard_library
from everyrung.terms.errors import Invalid
from everyrung.terms.lever import LEVER_WORDS
from everyrung.terms.move import Form


def lever_choices(form: Form) -> tuple[tuple[str, tuple[tuple[str, str], ...]], ...]:
    """By lever word, (words, JSON table) of every step that this form can take, is changed by, and is posed with."""
    return _choices(form, standard_library())


@lru_cache(4096)
def _choices(form: Form, library: Library) -> tuple[tuple[str, tuple[tuple[str, str], ...]], ...]:
    by_word = ((word, tuple(_fitting(form, word, library))) for word in LEVER_WORDS)
    return tuple((word, choices) for word, choices in by_word if choices)


def _fitting(form: Form, word: str, library: Library) -> Iterator[tuple[str, str]]:
    for table in STEPS[word]:
        try:
            lever = read_lever(table)
            new_form = apply(lever, form)
            check(new_form)
        except Invalid:
            continue
        if new_form != form and library.takes(new_form):
            yield lever_phrase(lever), json.dumps(table)


@cache
def round_levers() -> tuple[tuple[str, str], ...]:
    """(words, JSON table) of the steps for a whole round: those that most moves can take."""
    tables = [each for word in ("pause", "tempo", "reps", "pulse") for each in STEPS[word]]
    return tuple((lever_phrase(read_lever(table)), json.dumps(table)) for table in tables)
