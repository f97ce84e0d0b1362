"""Places on a floor: none overlaps or leaves it, and no arrangement that a solver finds beats the bound."""

import itertools
import random

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import lil_array
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from everyrung.room.places import Floor, first_places, floor_of, layout, wall_places
from everyrung.room.read import room_from_text
from everyrung.terms.room import Room, Stretch

HALL = """\
name = "Hall"
outline = [[0, 0], [{wide}, 0], [{wide}, {deep}], [0, {deep}]]
ceiling = 6
leader = {leader}
[[door]]
from = [{wide}, 1]
to = [{wide}, 2]
"""


def hall(wide: float, deep: float, leader: str) -> Room:
    return room_from_text(HALL.format(wide=wide, deep=deep, leader=leader), "hall.toml")


def bare(free: BaseGeometry) -> Floor:
    """A floor with neither aisle nor way out in it."""
    aisle = box(-2, 0, -1, 1)
    return Floor(free=free, aisle=aisle, doors=(aisle,), turn_deg=0.0)


def boxes(floor: Floor, side_m: float, depth_m: float) -> list[Polygon]:
    places = layout(floor, side_m, depth_m).places
    return [box(x - side_m / 2, y - depth_m / 2, x + side_m / 2, y + depth_m / 2) for x, y in places]


def test_an_empty_square_is_filled_and_the_bound_says_so() -> None:
    full = layout(bare(box(0, 0, 4, 6)), 1.0, 1.5)
    assert len(full.places) == full.bound == 16


def cut_room(seed: int) -> BaseGeometry:
    """A room of odd metres with a pillar and a corner cut off."""
    rng = random.Random(seed)
    wide, deep = rng.uniform(3, 6), rng.uniform(3, 6)
    x, y = rng.uniform(0.5, wide - 0.8), rng.uniform(0.5, deep - 0.8)
    corner = Polygon([(wide, deep), (wide - rng.uniform(0.5, 2), deep), (wide, deep - rng.uniform(0.5, 2))])
    return box(0, 0, wide, deep).difference(box(x, y, x + 0.35, y + 0.35)).difference(corner)


def most_on_a_grid(free: BaseGeometry, side_m: float, depth_m: float, step_m: float) -> int:
    """The most boxes with corners on a grid, by a 0/1 programme: the second way (HiGHS)."""
    left, low, right, high = free.bounds
    places = itertools.product(np.arange(left, right, step_m), np.arange(low, high, step_m))
    fit = [(x, y) for x, y in places if free.covers(box(x, y, x + side_m, y + depth_m))]
    points = list(itertools.product(np.arange(left, right, step_m), np.arange(low, high, step_m)))
    covers = lil_array((len(points), len(fit)))
    for row, (x, y) in enumerate(points):  # each cell of the grid is under one box at most
        for column, (at, up) in enumerate(fit):
            if at - 1e-9 <= x < at + side_m - 1e-9 and up - 1e-9 <= y < up + depth_m - 1e-9:
                covers[row, column] = 1
    answer = milp(
        c=-np.ones(len(fit)),
        constraints=LinearConstraint(covers.tocsr(), ub=1),
        integrality=np.ones(len(fit)),
        bounds=Bounds(0, 1),
    )
    return round(-answer.fun)


@pytest.mark.parametrize("seed", range(6))
def test_no_arrangement_of_a_solver_beats_the_bound(seed: int) -> None:
    free = cut_room(seed)
    ours = layout(bare(free), 0.8, 1.2)
    best = most_on_a_grid(free, 0.8, 1.2, 0.2)
    assert len(ours.places) >= 1
    assert best <= ours.bound
    assert len(ours.places) <= ours.bound
    assert len(ours.places) >= best - 2  # rows alone: near the best, and how near is shown by the bound


@pytest.mark.parametrize("seed", range(6))
def test_places_neither_overlap_nor_leave_the_floor(seed: int) -> None:
    free = cut_room(seed)
    found = boxes(bare(free), 0.8, 1.2)
    assert all(free.buffer(0.002).covers(one) for one in found)
    assert all(one.intersection(other).area < 0.01 for one, other in itertools.combinations(found, 2))


@pytest.mark.parametrize("leader", ["[8, 7.5]", "[8, 0.5]", "[0.5, 4]", "[15, 6]"])
def test_everybody_stands_before_the_leader_and_off_the_aisle(leader: str) -> None:
    room = hall(16, 8, leader)
    floor = floor_of(room)
    one = layout(floor, 1.5, 1.2)
    assert len(one.places) >= 20
    axis = 1 if one.turn_deg in (0.0, 180.0) else 0
    way = 1 if (axis == 1 and one.turn_deg == 0.0) or (axis == 0 and one.turn_deg == 90.0) else -1
    gaps = [way * (room.leader[axis] - place[axis]) for place in one.places]
    assert min(gaps) > 1.0
    aisle = [Polygon(part) for part in one.aisle]
    wide, deep = (1.5, 1.2) if axis == 1 else (1.2, 1.5)
    for x, y in one.places:
        body = box(x - wide / 2, y - deep / 2, x + wide / 2, y + deep / 2)
        assert all(body.intersection(part).area < 0.01 for part in aisle)
        assert Polygon(room.outline).buffer(0.01).covers(body)


def test_three_hundred_people_in_a_hall() -> None:
    floor = floor_of(hall(40, 30, "[20, 29]"))
    one = first_places(layout(floor, 1.6, 1.7), floor, 300)
    assert len(one.places) == 300
    assert one.bound >= 300


def test_a_wall_holds_whole_people_only() -> None:
    walls = (Stretch(start=(0, 0), end=(2.9, 0)), Stretch(start=(5, 0), end=(5, 1.9)))
    assert wall_places(walls, 1.0) == 3  # 2 and 1, never 4 over a corner


def test_a_floor_too_small_for_one_has_no_place() -> None:
    none = layout(bare(box(0, 0, 1, 1)), 1.5, 1.2)
    assert (none.places, none.bound, none.farthest_m) == ((), 0, 0.0)
