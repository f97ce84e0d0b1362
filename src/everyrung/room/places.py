"""Places for boxes of one size on a floor, in rows across the room, and a bound that no arrangement can beat.

Rows stand at any height, a step apart; in each free stretch of a row as many boxes stand side by side as it holds.
Dynamic programming over the heights finds the best of all such layouts. The bound: the points of a lattice that is as
wide and as deep as a box; every box covers exactly one of them wherever it lies, so there are no more boxes than points
on floor that a box can cover. The least over several shifts of the lattice counts, and what the area of that floor
allows.
"""

from bisect import bisect_left
from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import intersects_xy, prepare
from shapely.affinity import rotate
from shapely.geometry import LineString, Point, Polygon, box
from shapely.geometry.base import BaseGeometry, BaseMultipartGeometry
from shapely.ops import unary_union

from everyrung.terms.brief import Brief
from everyrung.terms.frozen import dataclass
from everyrung.terms.room import Point as Place
from everyrung.terms.room import Room, Stretch

AISLE_M = 0.9  # chosen, because one person with a ball walks through; local rules on ways out come first
DOOR_DEPTH_M = 1.2  # kept free before a door; chosen, because a leaf swings about a metre
LEADER_M = 1.0  # before the leader and round the demonstrator; chosen, because both show moves at full reach
SEAT_M, CAMERA_M = 0.5, 0.3  # round a seat and a camera; chosen, because a chair is half as wide, and so is a tripod
STEP_M = 0.05  # between heights at which a row may begin; chosen, because nobody marks a floor more closely
SHIFTS = 8  # of the lattice each way; chosen, because more lower no bound of the examples by one
Array = NDArray[np.float64]
Interval = tuple[float, float]
TINY, EDGE_M = 1e-9, 1e-6


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Layout(Brief):
    """Middles of places, m in the room's own coordinates, the front row first; each box is `side_m` across the line to
    the leader and `depth_m` along it. `bound`: no arrangement of such boxes has more. `aisle` and `turn_deg` (of the
    room, so that the leader is ahead) are for drawings.
    """

    places: tuple[Place, ...]
    side_m: float
    depth_m: float
    bound: int
    rows: int
    aisle: tuple[tuple[Place, ...], ...]
    turn_deg: float
    farthest_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Floor:
    """The free floor turned so that people face +y, the aisle, and how far it was turned about the origin."""

    free: BaseGeometry
    aisle: BaseGeometry
    doors: tuple[BaseGeometry, ...]
    turn_deg: float


def usable_area_m2(room: Room) -> float:
    """The floor without pillars, steps and storage."""
    return float(_without_obstacles(room).area)


def _without_obstacles(room: Room) -> BaseGeometry:
    return Polygon(room.outline).difference(unary_union([Polygon(one.corners) for one in room.obstacles]))


def floor_of(room: Room) -> Floor:
    """What is left for places: without obstacles, doorways, the leader's line and what is beside it, the demonstrator's
    place, seats, a camera, and one aisle that crosses all rows at the first way out.
    """
    floor = _without_obstacles(room)
    doors = [LineString([one.start, one.end]).buffer(DOOR_DEPTH_M, cap_style="flat") for one in room.doors]
    turn = _turn_deg(room)
    free = _turn(floor.difference(unary_union([*doors, *_stands(room)])), turn)
    free = free.difference(_beside_leader(_turn(Point(room.leader), turn), free))
    exits = tuple(_turn(LineString([one.start, one.end]), turn) for one in room.doors if one.is_exit)
    aisle = _aisle(_turn(floor, turn), exits[0])
    return Floor(free=free.difference(aisle), aisle=aisle, doors=exits, turn_deg=turn)


def _stands(room: Room) -> list[BaseGeometry]:
    """Who and what keeps a place of its own."""
    demonstrator = [Point(room.demonstrator).buffer(LEADER_M)] if room.demonstrator else []
    seats = [Point(at).buffer(SEAT_M, cap_style="square") for at in room.seats]
    camera = [Point(room.camera.at).buffer(CAMERA_M)] if room.camera else []
    return [*demonstrator, *seats, *camera]


def _beside_leader(leader: Point, free: BaseGeometry) -> BaseGeometry:
    """Nobody sees the leader from beside or behind."""
    left, _, right, high = free.bounds
    return box(left, leader.y - LEADER_M, right, max(high, leader.y))


def _turn_deg(room: Room) -> float:
    """A quarter turn or more, so that the leader stands towards +y of the middle of the floor."""
    middle = Polygon(room.outline).centroid
    x, y = room.leader[0] - middle.x, room.leader[1] - middle.y
    if abs(y) >= abs(x):
        return 0.0 if y >= 0 else 180.0
    return 90.0 if x > 0 else -90.0


def _turn(shape: BaseGeometry, turn_deg: float) -> BaseGeometry:
    return rotate(shape, turn_deg, origin=(0, 0)) if turn_deg else shape


def _aisle(floor: BaseGeometry, door: BaseGeometry) -> BaseGeometry:
    """From front to back at the door: along its wall, or inwards from it, so that every row ends at the aisle."""
    _, low, _, high = floor.bounds
    from_x, from_y, to_x, to_y = door.bounds
    middle = (from_x + to_x) / 2
    aside = AISLE_M / 2 if to_y - from_y > to_x - from_x else 0.0
    at_door = [
        box(x - AISLE_M / 2, from_y - AISLE_M, x + AISLE_M / 2, to_y + AISLE_M)
        for x in (middle - aside, middle + aside)
    ]
    left, _, right, _ = max(at_door, key=lambda each: each.intersection(floor).area).bounds
    return box(left, low, right, high).intersection(floor)


def layout(floor: Floor, side_m: float, depth_m: float) -> Layout:
    """The most places of this size, in rows."""
    rows = _best_rows(floor.free, side_m, depth_m)
    places = [_back(x, y, floor.turn_deg) for y, row in sorted(rows.items(), reverse=True) for x in row]
    one = Layout(
        places=(),
        side_m=side_m,
        depth_m=depth_m,
        bound=_bound(floor.free, side_m, depth_m),
        rows=0,
        aisle=_corners_back(floor),
        turn_deg=floor.turn_deg,
        farthest_m=0.0,
    )
    return _with_places(one, floor, tuple(places))


def first_places(one: Layout, floor: Floor, most: int) -> Layout:
    """The same with its first places only, from the front."""
    return _with_places(one, floor, one.places[:most])


def _with_places(one: Layout, floor: Floor, places: tuple[Place, ...]) -> Layout:
    at = [_turn(Point(place), floor.turn_deg) for place in places]
    return replace(
        one,
        places=places,
        rows=len({round(each.y, 2) for each in at}),
        farthest_m=max((_way_m(each.x, each.y, floor) for each in at), default=0.0),
    )


def count_places(floor: Floor, side_m: float, depth_m: float) -> int:
    """How many places of this size there are at most in rows."""
    return sum(len(row) for row in _best_rows(floor.free, side_m, depth_m).values())


def _best_rows(free: BaseGeometry, side_m: float, depth_m: float) -> dict[float, list[float]]:
    """Middles by row. What the rows from one height on hold at most, from the back to the front."""
    if free.is_empty:
        return {}
    _, low, _, high = free.bounds
    heights = np.arange(low, high - depth_m + TINY, STEP_M)
    rows = [_row(each, side_m) for each in _intervals(free, heights, depth_m)]
    most = [0] * (len(heights) + 1)
    uses = [False] * len(heights)
    after = [bisect_left(heights, y + depth_m - TINY) for y in heights]
    for at in range(len(heights) - 1, -1, -1):
        with_it = len(rows[at]) + most[after[at]]
        uses[at] = with_it > most[at + 1]
        most[at] = max(with_it, most[at + 1])
    best: dict[float, list[float]] = {}
    at = 0
    while at < len(heights):
        if uses[at]:
            best[float(heights[at] + depth_m / 2)] = rows[at]
        at = after[at] if uses[at] else at + 1
    return best


def _row(intervals: list[Interval], side_m: float) -> list[float]:
    """Middles of boxes from left to right, where the whole strip is free; what is over is left at both ends."""
    middles: list[float] = []
    for start, end in intervals:
        count = int((end - start + TINY) / side_m)
        spare = (end - start - count * side_m) / 2
        middles += [start + spare + side_m * (place + 0.5) for place in range(count)]
    return middles


def _intervals(free: BaseGeometry, heights: Array, depth_m: float) -> list[list[Interval]]:
    """For a strip of the floor from each height on (axis: height, m): where it is free over all of its depth, by the
    shadow on the line across of what is not.
    """
    left, _, right, _ = free.bounds
    strips = shapely.box(left, heights, right, heights + depth_m)
    parts, strip_of = shapely.get_parts(shapely.difference(strips, free), return_index=True)
    obstacles: list[list[Interval]] = [[] for _ in heights]
    for at, (low, _, high, _), area in zip(strip_of, shapely.bounds(parts), shapely.area(parts), strict=True):
        if area > TINY:
            obstacles[at].append((float(low), float(high)))
    return [_between(sorted(each), left, right) for each in obstacles]


def _between(obstacles: list[Interval], left: float, right: float) -> list[Interval]:
    """What is left of the line between its ends."""
    intervals, start = [], left
    for low, high in obstacles:
        if low > start:
            intervals.append((start, low))
        start = max(start, high)
    return [*intervals, (start, right)] if start < right else intervals


def seats_in_aisle(room: Room, one: Layout) -> int:
    """How many seats stand in the way out."""
    aisle = unary_union([Polygon(part) for part in one.aisle])
    return sum(Point(at).buffer(SEAT_M / 2, cap_style="square").intersects(aisle) for at in room.seats)


def _parts(shape: BaseGeometry) -> list[BaseGeometry]:
    return list(shape.geoms) if isinstance(shape, BaseMultipartGeometry) else [shape]


def _bound(free: BaseGeometry, side_m: float, depth_m: float) -> int:
    """The fewest points of a shifted lattice on floor that some box can cover."""
    reach = _coverable(free, side_m, depth_m)
    if reach.is_empty:
        return 0
    left, low, right, high = reach.bounds
    wide = reach.buffer(EDGE_M)  # a point on the edge counts, or the bound would be none
    prepare(wide)
    counts = []
    for shift in np.ndindex(SHIFTS, SHIFTS):
        x = np.arange(left + side_m * (shift[0] / SHIFTS - 1), right + side_m, side_m)
        y = np.arange(low + depth_m * (shift[1] / SHIFTS - 1), high + depth_m, depth_m)
        across, along = np.meshgrid(x, y)
        counts.append(int(intersects_xy(wide, across, along).sum()))
    return min(min(counts), int(reach.area / (side_m * depth_m) + TINY))


def _coverable(free: BaseGeometry, side_m: float, depth_m: float) -> BaseGeometry:
    """At least all the floor that some box covers: the strips of rows, at every height; a hair wider for the steps."""
    _, low, _, high = free.bounds
    heights = np.arange(low, high - depth_m + STEP_M, STEP_M)
    inner_m = max(depth_m - STEP_M, TINY)  # a box between two heights covers this part of the strip from the upper on
    strips = [
        box(start, y - STEP_M, end, y + depth_m)
        for y, intervals in zip(heights, _intervals(free, heights, inner_m), strict=True)
        for start, end in intervals
        if end - start >= side_m - TINY
    ]
    return unary_union(strips).intersection(free.buffer(TINY)) if strips else Polygon()


def _way_m(x: float, y: float, floor: Floor) -> float:
    """Along the row to the aisle, then along the aisle to the way out."""
    left, _, right, _ = floor.aisle.bounds
    doors = min(abs(one.centroid.y - y) + abs(one.centroid.x - (left + right) / 2) for one in floor.doors)
    return float(abs(x - (left + right) / 2) + doors)


def _back(x: float, y: float, turn_deg: float) -> Place:
    point = _turn(Point(x, y), -turn_deg)
    return round(point.x, 3), round(point.y, 3)


def _corners_back(floor: Floor) -> tuple[tuple[Place, ...], ...]:
    """The aisle's parts; a rack may stand across it."""
    parts = [each for each in _parts(floor.aisle) if isinstance(each, Polygon)]
    return tuple(tuple(_back(x, y, floor.turn_deg) for x, y in each.exterior.coords[:-1]) for each in parts)


def wall_places(walls: tuple[Stretch, ...], wall_m: float) -> int:
    """How many people fit side by side along the walls that can be leaned on."""
    return sum(int(one.length_m / wall_m + TINY) for one in walls)
