"""Room files: what is read, and every fault with its line, its field and what to write instead."""

from pathlib import Path

import pytest

from everyrung.room.read import read_room, room_from_text
from everyrung.terms.errors import Faults

ROOMS = sorted((Path(__file__).parents[2] / "examples" / "rooms").glob("*.toml"))
SMALL = """\
name = "Hall"
outline = [[0, 0], [10, 0], [10, 8], [0, 8]]
ceiling = 3
leader = [5, 7]
[[door]]
from = [10, 1]
to = [10, 2]
"""


@pytest.mark.parametrize("path", ROOMS, ids=lambda path: path.stem)
def test_the_examples_are_rooms(path: Path) -> None:
    room = read_room(path)
    assert room.usable_walls
    assert room.emergency
    assert room.emergency.defibrillator


def test_feet_are_converted_once() -> None:
    room = room_from_text('unit = "ft"\n' + SMALL.replace("ceiling = 3", "ceiling = 10"), "hall.toml")
    assert room.ceiling_m == pytest.approx(10 * 0.3048)  # the international foot, exact by definition
    assert room.outline[1] == pytest.approx((10 * 0.3048, 0))


FAULTS = {
    "sides cross": (("[10, 0], [10, 8]", "[10, 8], [10, 0]"), "hall.toml:2: outline", "do not cross"),
    "no height": (("ceiling = 3", "ceiling = 0"), "hall.toml:3: ceiling", "1.9 to 20 m; got 0"),
    "a length with its unit": (("ceiling = 3", 'ceiling = "10 ft"'), "hall.toml:3: ceiling", "'10 ft' is 3.05 here."),
    "feet among metres": (("ceiling = 3", "ceiling = 30"), "hall.toml:3: ceiling", "30 looks like ft"),
    "a unit in quotes": (("ceiling = 3", 'ceiling = "3 m"'), "hall.toml:3: ceiling", "a number in m, without quotes"),
    "a hall too long": (("[10, 0]", "[1000, 0]"), "hall.toml:2: outline", "at most 150 m"),
    "two corners": ((", [10, 8], [0, 8]", ""), "hall.toml:2: outline", "3 corners or more"),
    "no floor": (("[10, 8], [0, 8]", "[5, 0]"), "hall.toml:2: outline", "sides that do not cross"),
    "a door in the room": (("from = [10, 1]", "from = [9, 1]"), "hall.toml:5: door[1]", "a stretch of the outline"),
    "a leader outside": (("leader = [5, 7]", "leader = [5, 70]"), "hall.toml:4: leader", "a place inside the outline"),
    "a door of no width": (("to = [10, 2]", "to = [10, 1]"), "hall.toml:7: door[1].to", "another place"),
    "a word unknown": (("leader =", "leeder ="), "hall.toml:4: leeder", "Nearest: leader"),
    "no door": (("[[door]]\nfrom = [10, 1]\nto = [10, 2]\n", ""), "hall.toml", "a [[door]] that leads out"),
    "not a number": (("ceiling = 3", "ceiling = nan"), "hall.toml:3: ceiling", "a number in m"),
    "a place of three": (("leader = [5, 7]", "leader = [5, 7, 1]"), "hall.toml:4: leader", "[across, along]"),
}


@pytest.mark.parametrize("name", FAULTS)
def test_a_fault_says_where_and_what(name: str) -> None:
    (old, new), where, words = FAULTS[name]
    assert old in SMALL
    with pytest.raises(Faults) as problem:
        room_from_text(SMALL.replace(old, new, 1), "hall.toml")
    assert where in str(problem.value)
    assert words in str(problem.value)


def test_all_faults_come_at_once() -> None:
    text = SMALL.replace("ceiling = 3", "ceiling = 0").replace("leader = [5, 7]", 'leader = "front"')
    with pytest.raises(Faults) as problem:
        room_from_text(text, "hall.toml")
    assert len(problem.value.faults) == 2
