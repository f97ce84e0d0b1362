"""Where a new session starts: an empty plan, or one of the examples."""

from functools import cache
from pathlib import Path

import everyrung
from everyrung.terms.errors import Invalid, nearest

DEMO = "boathouse-30"
ROOMS = ("boat-bay", "crew-room")
_ORDER = (DEMO, "first-evening-30", "bare-floor-30", "one-dumbbell-30", "seated-30", "whole-body-45")
EMPTY = """# A new session. Everything that is left out has a default, and the studio says which.
title = "A new session"
slot_minutes = 30

[who]
in_room = 10

[[kit]]
item = "mat"
each = 1

[[kit]]
item = "wall"
each = 1

[[block]]
kind = "main"

  [[block.move]]
  move = "squat"
  dose = "8 reps"

  [[block.round]]
  name = "One"
"""
EMPTY_ROOM = """name = "A new room"
unit = "m"
outline = [[0, 0], [10, 0], [10, 8], [0, 8]]
ceiling = 3
leader = [5, 7.2]

[[door]]
name = "Door"
from = [10, 0.5]
to = [10, 1.5]
"""


def examples() -> Path:
    """The folder of the examples: in the package, or in the checkout it runs from."""
    package = Path(everyrung.__file__).parent
    return package / "examples" if (package / "examples").is_dir() else package.parents[1] / "examples"


@cache
def starts() -> dict[str, str]:
    """The texts by name, the empty one first."""
    folder = examples()
    return {"empty": EMPTY} | {name: (folder / f"{name}.toml").read_text(encoding="utf-8") for name in _ORDER}


def start(name: str) -> str:
    """One of them. Raises Invalid."""
    texts = starts()
    if name not in texts:
        raise Invalid("from", "an empty plan or an example", name, nearest=nearest(name, texts))
    return texts[name]


@cache
def room_starts() -> dict[str, str]:
    """What a room may start from, by name: an empty one and the boathouse's."""
    folder = examples() / "rooms"
    return {"empty": EMPTY_ROOM} | {name: (folder / f"{name}.toml").read_text(encoding="utf-8") for name in ROOMS}


def room_start(name: str) -> str:
    """One of them. Raises Invalid."""
    texts = room_starts()
    if name not in texts:
        raise Invalid("from", "an empty room or an example", name, nearest=nearest(name, texts))
    return texts[name]
