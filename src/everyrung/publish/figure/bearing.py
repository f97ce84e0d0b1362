"""Flesh on the surfaces that bear it: how deep a sphere is in a thing, and where it comes to lie."""

from math import cos, dist, radians, sin

from everyrung.publish.figure.vectors import plus, unit, way
from everyrung.terms.figure import Point3, Prop, PropKind, Skeleton

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
