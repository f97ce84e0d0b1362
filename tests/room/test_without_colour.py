"""Colour is never alone on a room's drawing: with every colour taken away each kind of mark is still its own."""

import re

from everyrung.room.draw import LOOKS

LETTERS = {"number", "middle"}  # only where writing stands
COLOUR = re.compile(r'(?:fill|stroke)="(?:#[0-9a-f]{3,6}|none)"\s?')


def plain(look: str) -> str:
    """A look on a paper where all ink is of one colour; what a line is filled with is not seen."""
    return COLOUR.sub("", look).strip()


def test_no_two_kinds_of_mark_differ_by_colour_alone() -> None:
    marks = {kind: plain(look) for kind, look in LOOKS.items() if kind not in LETTERS}
    alike = [(one, other) for one in marks for other in marks if one < other and marks[one] == marks[other]]
    assert alike == []


def test_colour_alone_would_be_found() -> None:
    assert plain('fill="#aabbcc" stroke-width="2"') == plain('fill="#ccbbaa" stroke-width="2"')
