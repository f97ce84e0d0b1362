"""Colour is never alone on a room's drawing: with every colour taken away each kind of mark is still its own."""

import re
from importlib.resources import files

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


# How the room's screen draws each thing, by room.js: an area, a line, a square or a disc.
SHAPES = {
    **dict.fromkeys(("outline", "step", "storage", "floor"), "area"),
    **dict.fromkeys(("door", "no-way-out", "wall", "mirror", "screen", "camera"), "line"),
    **dict.fromkeys(("pillar", "seat"), "square"),
    **dict.fromkeys(("leader", "demonstrator"), "disc"),
}


def drawn_looks() -> dict[str, tuple[str, ...]]:
    """By kind of thing all that its rules say beside colour: its shape, whether it is filled, how its line is."""
    css = (files("everyrung") / "static" / "studio.css").read_text(encoding="utf-8")
    looks = {kind: {"shape": shape, "fill": "none"} for kind, shape in SHAPES.items()}
    for selector, body in re.findall(r"^((?:\.drawn[\w.-]*(?:, )?)+) \{([^}]*)\}", css, re.MULTILINE):
        for kind in re.findall(r"\.drawn\.([\w-]+)", selector):
            said = dict(re.findall(r"([\w-]+): ([^;]+);", body))
            said.pop("stroke", None)
            looks[kind] |= said | ({"fill": "whole"} if said.get("fill", "none") != "none" else {})
    return {kind: tuple(f"{key}: {value}" for key, value in sorted(look.items())) for kind, look in looks.items()}


def test_no_two_things_of_the_room_that_is_drawn_differ_by_colour_alone() -> None:
    looks = drawn_looks()
    assert [(one, other) for one in looks for other in looks if one < other and looks[one] == looks[other]] == []
