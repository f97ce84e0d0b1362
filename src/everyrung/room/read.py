"""A room file (TOML): outline, ceiling, doors and what else stands there, with every fault at its line."""

import re
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import fields
from enum import StrEnum
from pathlib import Path
from typing import Any

from shapely.geometry import LineString, Polygon
from shapely.geometry import Point as Place
from shapely.validation import explain_validity

from everyrung.parsing.document import parse, read_text
from everyrung.parsing.table_reader import FileFaults, Skip, Table, as_list, attempt, flag, number, one_of, words
from everyrung.terms.errors import Invalid
from everyrung.terms.room import (
    LEAST_CEILING_M,
    MAX_ROOM_M,
    MOST_CEILING_M,
    Area,
    Camera,
    Emergency,
    FloorKind,
    Light,
    Point,
    Room,
    Stretch,
)

FOOT_M = 0.3048  # exact by definition (international foot)
IN_M = {"m": 1.0, "cm": 0.01, "ft": FOOT_M, "in": FOOT_M / 12}
WITH_UNIT = re.compile(r"(\d+(?:\.\d+)?) ?(m|cm|ft|in)")
ON_WALL_M = 0.10  # chosen, because nobody measures a wall more closely
LEAST_FLOOR_M2 = 4.0  # chosen, because one person lies down on less


class LengthUnit(StrEnum):
    """Of every length in one file."""

    METRE = "m"
    FOOT = "ft"


Length = Callable[[Any], float]


def read_room(path: Path) -> Room:
    """The room at `path`. Raises Faults with every fault: each with its line, what was expected and what was got.

    >>> read_room(Path("examples/rooms/boat-bay.toml")).ceiling_m
    3.4
    """
    return room_from_text(read_text(path), str(path))


def room_from_text(text: str, file: str) -> Room:
    """The same from a text. Raises Faults."""
    reading = FileFaults(file, text)
    table = Table(reading, parse(text, file))
    with suppress(Skip):
        room = _room(table)
        _check_floor(table, room)
        if table.clean:
            return room
    reading.finish()
    raise AssertionError("a room without faults was refused")


def _room(table: Table) -> Room:
    unit = table.take("unit", one_of(LengthUnit), LengthUnit.METRE) or LengthUnit.METRE
    length = _length(unit)
    point = _point(length)
    return table.build(
        Room,
        name=table.take("name", words),
        outline=table.take("outline", _corners(point)),
        ceiling_m=table.take("ceiling", _between(length, LEAST_CEILING_M, MOST_CEILING_M, unit)),
        light=table.take("light", one_of(Light), Light.BRIGHT),
        leader=table.take("leader", point),
        doors=attempt(table.tables("door"), lambda each: _stretch(each, point, leads=True)),
        usable_walls=attempt(table.tables("wall"), lambda each: _stretch(each, point)),
        mirrors=attempt(table.tables("mirror"), lambda each: _stretch(each, point)),
        pillars=attempt(table.tables("pillar"), lambda each: _pillar(each, point, length)),
        steps=attempt(table.tables("step"), lambda each: _area(each, point, length)),
        storage=attempt(table.tables("storage"), lambda each: _area(each, point, length)),
        floors=attempt(table.tables("floor"), lambda each: _area(each, point, length)),
        screen=_one(table, "screen", lambda each: _stretch(each, point)),
        camera=_one(table, "camera", lambda each: _camera(each, point, length)),
        demonstrator=table.take("demonstrator", point, None),
        seats=table.many("seats", point),
        emergency=_one(table, "emergency", _emergency),
    )


def _one(table: Table, key: str, read: Callable[[Table], Any]) -> Any:
    return read(table.table(key)) if table.has(key) else None


def _length(unit: LengthUnit) -> Length:
    """A parser for lengths: bare numbers in the file's one unit; another unit is refused with what to write."""
    metres = FOOT_M if unit is LengthUnit.FOOT else 1.0
    expected = f"a number in {unit}, without quotes"

    def parse_length(value: Any) -> float:
        try:
            length_m = number(value) * metres
        except Invalid:
            rule = f'Every length of a file is in one unit, here {unit}: unit = "m" or "ft" at its top says which.'
            raise Invalid("", expected, value, remedy=f"{rule}{_in_unit(value, metres)}") from None
        if abs(length_m) > MAX_ROOM_M:
            raise Invalid("", f"at most {MAX_ROOM_M / metres:g} {unit}", value)
        return length_m

    return parse_length


def _in_unit(value: Any, metres: float) -> str:
    """What a length that has its unit with it is in the file's: " '10 ft' is 3.05 here."; '' for anything else."""
    match = WITH_UNIT.fullmatch(value.strip()) if isinstance(value, str) else None
    return f" {value.strip()!r} is {float(match[1]) * IN_M[match[2]] / metres:.2f} here." if match else ""


def _between(length: Length, low_m: float, high_m: float, unit: LengthUnit) -> Length:
    """A length within bounds; where the other unit would be within them, the fault says so."""
    metres, other = (FOOT_M, LengthUnit.METRE) if unit is LengthUnit.FOOT else (1.0, LengthUnit.FOOT)

    def parse_between(value: Any) -> float:
        length_m = length(value)
        if low_m <= length_m <= high_m:
            return length_m
        in_other = length_m / metres * (FOOT_M if other is LengthUnit.FOOT else 1.0)
        fits = low_m <= in_other <= high_m
        remedy = f"{value:g} looks like {other}: in {unit} that is {in_other / metres:.2f}." if fits else ""
        raise Invalid("", f"{low_m / metres:.3g} to {high_m / metres:.3g} {unit}", value, remedy=remedy)

    return parse_between


def _point(length: Length) -> Callable[[Any], Point]:
    def parse_point(value: Any) -> Point:
        if not isinstance(value, list) or len(value) != 2:
            raise Invalid("", "a place as [across, along], such as [3.2, 5]", value)
        return length(value[0]), length(value[1])

    return parse_point


def _corners(point: Callable[[Any], Point], least: int = 3) -> Callable[[Any], tuple[Point, ...]]:
    """Corners in order round an area, whose sides may not cross."""

    def parse_corners(value: Any) -> tuple[Point, ...]:
        corners = tuple(point(each) for each in as_list(value))
        corners = corners[:-1] if len(corners) > 1 and corners[0] == corners[-1] else corners
        if len(corners) < least:
            raise Invalid("", f"{least} corners or more, in order round it", f"{len(corners)} corners")
        shape = Polygon(corners)
        if not shape.is_valid:
            where = explain_validity(shape).partition("[")[2].rstrip("]").replace(" ", ", ")
            remedy = "List the corners in the order in which you pass them when you walk round."
            raise Invalid("", "sides that do not cross each other", f"sides that meet at {where} m", remedy=remedy)
        if shape.area <= 0:
            raise Invalid("", "corners that enclose some floor", "corners in one line")
        return corners

    return parse_corners


def _stretch(table: Table, point: Callable[[Any], Point], *, leads: bool = False) -> Stretch:
    """A door `leads` out unless the file says that it is no exit."""
    start, end = table.take("from", point), table.take("to", point)
    name, is_exit = table.take("name", words, ""), leads and table.take("exit", flag, True)
    one = table.build(Stretch, start=start, end=end, name=name, is_exit=is_exit)
    if one.length_m < ON_WALL_M:
        table.reading.fault((*table.path, "to"), Invalid("", "another place than `from`", str(list(one.end))))
        raise Skip
    return one


def _area(table: Table, point: Callable[[Any], Point], length: Length) -> Area:
    return table.build(
        Area,
        corners=table.take("outline", _corners(point)),
        name=table.take("name", words, ""),
        height_m=table.take("height", length, 0.0),
        kind=table.take("kind", one_of(FloorKind), None),
    )


def _pillar(table: Table, point: Callable[[Any], Point], length: Length) -> Area:
    """A pillar is written by its middle and how thick it is; it counts as a square."""
    at, thick, name = table.take("at", point), table.take("thick", length), table.take("name", words, "pillar")
    if table.clean and not 0.02 <= thick <= 5:
        table.reading.fault((*table.path, "thick"), Invalid("", "0.02 to 5 m", thick))
    table.check_fields()
    (x, y), half = at, thick / 2
    corners = ((x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half))
    return Area(corners=corners, name=name)


def _camera(table: Table, point: Callable[[Any], Point], length: Length) -> Camera:
    return table.build(
        Camera,
        at=table.take("at", point),
        height_m=table.take("height", length),
        toward=table.take("toward", point),
        angle_deg=table.take("angle", _angle, 65.0),  # of a telephone held across (common practice, no source)
    )


def _angle(value: Any) -> float:
    degrees = number(value)
    if not 10 <= degrees <= 180:
        raise Invalid("", "10 to 180 degrees from side to side", value)
    return degrees


def _emergency(table: Table) -> Emergency:
    return table.build(Emergency, **{each.name: table.take(each.name, words, "") for each in fields(Emergency)})


def _check_floor(table: Table, room: Room) -> None:
    """What can only be seen with the whole room: what stands outside it, what is in no wall, no floor left."""
    floor = Polygon(room.outline)
    for path, problem in _misfits(room, floor):
        table.reading.fault(path, problem)
    if floor.area < LEAST_FLOOR_M2:
        expected = f"at least {LEAST_FLOOR_M2:g} m2 of floor"
        table.reading.fault(("outline",), Invalid("", expected, f"{floor.area:.2f} m2"))


def _misfits(room: Room, floor: Polygon) -> Iterator[tuple[tuple[str | int, ...], Invalid]]:
    inside = floor.buffer(ON_WALL_M)
    for key, areas in (("pillar", room.pillars), ("step", room.steps), ("storage", room.storage)):
        for at, one in enumerate(areas):
            if not inside.contains(Polygon(one.corners)):
                yield (key, at), Invalid("", "a place inside the outline", _corner_words(one.corners))
    for key, stretches in (("door", room.doors), ("wall", room.usable_walls), ("mirror", room.mirrors)):
        for at, each in enumerate(stretches):
            if LineString([each.start, each.end]).difference(floor.exterior.buffer(ON_WALL_M)).length > 0:
                near = floor.exterior.interpolate(floor.exterior.project(Place(each.start)))
                remedy = f"The nearest wall is at [{near.x:.2f}, {near.y:.2f}] m."
                got = f"{list(each.start)} to {list(each.end)}"
                yield (key, at), Invalid("", "a stretch of the outline", got, remedy=remedy)
    people = [("leader", room.leader), ("demonstrator", room.demonstrator)]
    seats = [(f"seats[{at + 1}]", place) for at, place in enumerate(room.seats)]
    for key, place in (*people, *seats):
        if place and not inside.contains(Place(place)):
            yield (key.partition("[")[0],), Invalid("", "a place inside the outline", str(list(place)))


def _corner_words(corners: tuple[Point, ...]) -> str:
    return ", ".join(f"[{x:g}, {y:g}]" for x, y in corners[:4])
