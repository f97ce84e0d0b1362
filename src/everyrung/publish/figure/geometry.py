"""Points in space, the flat picture seen from afar, outlines round circles, and flesh on what bears it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from math import cos, dist, pi, radians, sin, sqrt

import numpy as np
from numpy.typing import NDArray

from everyrung.score.marks import num
from everyrung.terms.figure import Point3, Prop, PropKind, Skeleton


def plus(place: Point3, way: Point3, times: float = 1.0) -> Point3:
    """The place `times` the way farther on."""
    return (place[0] + times * way[0], place[1] + times * way[1], place[2] + times * way[2])


def way(start: Point3, end: Point3) -> Point3:
    return plus(end, start, -1.0)


def between(start: Point3, end: Point3, share: float = 0.5) -> Point3:
    return plus(start, way(start, end), share)


def dot(one: Point3, other: Point3) -> float:
    return one[0] * other[0] + one[1] * other[1] + one[2] * other[2]


def cross(one: Point3, other: Point3) -> Point3:
    return (
        one[1] * other[2] - one[2] * other[1],
        one[2] * other[0] - one[0] * other[2],
        one[0] * other[1] - one[1] * other[0],
    )


def length(one: Point3) -> float:
    return sqrt(dot(one, one))


def unit(one: Point3) -> Point3:
    """The direction; straight up for no way at all, so that coinciding points still draw."""
    size = length(one)
    return (one[0] / size, one[1] / size, one[2] / size) if size > 1e-9 else (0.0, 0.0, 1.0)


def square_to(one: Point3, axis: Point3) -> Point3:
    """The direction of what is left of `one` when its part along the unit `axis` is taken away."""
    return unit(plus(one, axis, -dot(one, axis)))


MOST_M = 0.065  # flesh is moved no farther; chosen, because the broadest of it, the chest, is not much thicker
SOLID = (PropKind.FLOOR, PropKind.BALL, PropKind.WALL)


def depth_m(at: Point3, radius_m: float, prop: Prop) -> float:
    """How deep a sphere is in a thing, m; below 0 where there is air between them."""
    if prop.kind is PropKind.BALL:
        apart = dist(at, prop.at)
        return prop.size_m / 2 + radius_m - apart
    if prop.kind is PropKind.FLOOR:
        return prop.at[2] - at[2] + radius_m
    behind = _behind(prop)
    return sum(part * step for part, step in zip(behind, way(prop.at, at), strict=True)) + radius_m


def lying(at: Point3, radius_m: float, body: Skeleton) -> Point3:
    """The middle of flesh where it lies on what bears the body, rather than in it."""
    for prop in body.bearing:
        deep = depth_m(at, radius_m, prop)
        if 0 < deep <= MOST_M:
            at = plus(at, _outward(at, prop), deep)
    return at


def _outward(at: Point3, prop: Prop) -> Point3:
    if prop.kind is PropKind.BALL:
        return unit(way(prop.at, at))
    if prop.kind is PropKind.FLOOR:
        return (0.0, 0.0, 1.0)
    x, y, z = _behind(prop)
    return (-x, -y, -z)


def _behind(wall: Prop) -> Point3:
    """The wall's far side; an unturned one stands at the back."""
    turn = radians(wall.turn_deg)
    return (-sin(turn), cos(turn), 0.0)


Flat = tuple[float, float]  # right, down
Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """Where one looks from: 0 degrees from the body's right (it faces right in the picture), 90 from its front.

    `above_deg` is how far one looks down.
    """

    azimuth_deg: float
    above_deg: float = 0.0

    @property
    def toward(self) -> Point3:
        """The direction from the body to the eye."""
        return _axes(self)[0]

    @property
    def right(self) -> Point3:
        return _axes(self)[1]

    @property
    def up(self) -> Point3:
        return _axes(self)[2]

    def flat(self, place: Point3) -> Flat:
        """Where the place is in the picture, m: to the right, and down."""
        _, right, up = _axes(self)
        return (dot(place, right), -dot(place, up))

    def depth(self, place: Point3) -> float:
        """How far away the place is along the floor, m; larger is farther. Height does not make a knee farther."""
        round_rad = radians(self.azimuth_deg)
        return place[0] * cos(round_rad) + place[1] * sin(round_rad)


@cache
def _axes(view: View) -> tuple[Point3, Point3, Point3]:
    """To the eye, to the right, and up: asked for by every point of a picture."""
    round_rad, above = radians(view.azimuth_deg), radians(view.above_deg)
    toward = (-cos(round_rad) * cos(above), -sin(round_rad) * cos(above), sin(above))
    right = (sin(round_rad), -cos(round_rad), 0.0)
    return toward, right, cross(toward, right)


SIDE = View(azimuth_deg=0.0)
FRONT = View(azimuth_deg=90.0)
THREE_QUARTER = View(azimuth_deg=40.0, above_deg=12.0)  # chosen, because face, chest and bent knees all show


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A rectangle of the flat picture, m."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def height(self) -> float:
        return self.bottom - self.top


def box_round(flats: Iterable[Flat]) -> Box:
    """The smallest box round the points, of which there must be one."""
    across, down = zip(*flats, strict=True)
    return Box(left=min(across), top=min(down), right=max(across), bottom=max(down))


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """How the flat picture lies on paper: mm of paper for a metre, and where its origin is."""

    mm_per_m: float
    x_mm: float
    y_mm: float

    def on(self, flat: Flat) -> Flat:
        return (self.x_mm + flat[0] * self.mm_per_m, self.y_mm + flat[1] * self.mm_per_m)


ROUND = 28  # chosen, because corners of that many sides are below a tenth of a millimetre at a hand's breadth


@dataclass(frozen=True, slots=True, kw_only=True)
class Blob:
    """A sphere of flesh: its middle and radius in m."""

    at: Point3
    radius_m: float


def blob(at: Point3, radius_m: float) -> Blob:
    return Blob(at=at, radius_m=radius_m)


def outline(blobs: Iterable[Blob], view: View, slimmer: float = 1.0) -> list[Flat]:
    """The convex outline round the blobs as seen, m; `slimmer` times their radii."""
    circles = [(*view.flat(one.at), one.radius_m * slimmer) for one in blobs]
    rims = [[(x + radius * c, y + radius * s) for c, s in _RIM] for x, y, radius in circles]
    if len(circles) == 1:
        return convex(rims[0])
    return convex([rim[at] for rim, seen_at in zip(rims, _outer(np.array(circles)), strict=True) for at in seen_at])


def _outer(circles: Floats) -> list[list[int]]:
    """Of circles (circle; x, y, radius) the corners that may be on the outline round all of them.

    All circles have their corners at the same angles, so a corner that another circle's lies farther out than, toward
    both ends of the angles that it is the farthest for, is inside. Those in doubt by rounding are kept.
    """
    out = circles @ _ENDS  # how far each circle reaches toward each end (circle, end)
    less = out[:, None, :] < out[None, :, :] - ROUNDING_M
    inside = (less & np.roll(less, 1, axis=2)).any(axis=1)
    return [list(np.flatnonzero(~row)) for row in inside]


_RIM = [(cos(2 * pi * at / ROUND), sin(2 * pi * at / ROUND)) for at in range(ROUND)]
# The end of a corner's angles and the beginning of the next one's, as x, y and radius count toward it.
_ENDS = np.array(
    [[f(2 * pi * (at + 0.5) / ROUND) for at in range(ROUND)] for f in (cos, sin)] + [[cos(pi / ROUND)] * ROUND]
)
ROUNDING_M = 1e-9  # far above what doubles lose in a room, far below what is seen


def convex(flats: Iterable[Flat]) -> list[Flat]:
    """The corners of the convex hull, going round (Andrew's monotone chain)."""
    points = sorted(set(flats))
    return _half(points) + _half(points[::-1]) if len(points) > 2 else points


def _half(points: Sequence[Flat]) -> list[Flat]:
    corners: list[Flat] = []
    for flat in points:
        while len(corners) > 1 and _turn(corners[-2], corners[-1], flat) <= 1e-12:
            corners.pop()
        corners.append(flat)
    return corners[:-1]


def _turn(one: Flat, two: Flat, three: Flat) -> float:
    return (two[0] - one[0]) * (three[1] - one[1]) - (two[1] - one[1]) * (three[0] - one[0])


def path(flats: Sequence[Flat], *, is_ring: bool = True) -> str:
    """SVG path data through the points, which are in mm on paper; steps too short to be seen are left out."""
    steps = [f"{num(x)} {num(y)}" for x, y in flats]
    distinct = steps[:1] + [after for before, after in pairwise(steps) if after != before]
    return "M" + "L".join(distinct) + ("Z" if is_ring else "")
