"""The little arithmetic of points in space that drawing needs."""

from math import sqrt

from everyrung.terms.figure import Place


def plus(place: Place, way: Place, times: float = 1.0) -> Place:
    """The place `times` the way farther on."""
    return (place[0] + times * way[0], place[1] + times * way[1], place[2] + times * way[2])


def way(start: Place, end: Place) -> Place:
    return plus(end, start, -1.0)


def between(start: Place, end: Place, share: float = 0.5) -> Place:
    return plus(start, way(start, end), share)


def dot(one: Place, other: Place) -> float:
    return one[0] * other[0] + one[1] * other[1] + one[2] * other[2]


def cross(one: Place, other: Place) -> Place:
    return (
        one[1] * other[2] - one[2] * other[1],
        one[2] * other[0] - one[0] * other[2],
        one[0] * other[1] - one[1] * other[0],
    )


def length(one: Place) -> float:
    return sqrt(dot(one, one))


def unit(one: Place) -> Place:
    """The direction; straight up for no way at all, so that coinciding points still draw."""
    size = length(one)
    return (one[0] / size, one[1] / size, one[2] / size) if size > 1e-9 else (0.0, 0.0, 1.0)


def square_to(one: Place, axis: Place) -> Place:
    """The direction of what is left of `one` when its part along the unit `axis` is taken away."""
    return unit(plus(one, axis, -dot(one, axis)))
