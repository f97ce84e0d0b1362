"""The little arithmetic of points in space that drawing needs."""

from math import sqrt

from everyrung.terms.figure import Point3


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
