"""Poses between the solved ones, so that a motion is smooth and nothing dips into what it passes."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from everyrung.terms.demand import Drawing, DrawnProp
from everyrung.terms.figure import Point3


def between(poses: Sequence[Drawing], steps: int) -> list[Drawing]:
    """The poses with `steps` from each to the next; points and things go straight, which is off by millimetres."""
    found = [_mixed(one, two, step / steps) if step else one for one, two in pairwise(poses) for step in range(steps)]
    return [*found, poses[-1]]


def _mixed(one: Drawing, two: Drawing, share: float) -> Drawing:
    ends = dict(two.points)
    points = tuple((name, _place(place, ends[name], share)) for name, place in one.points)
    things = tuple(_thing(here, there, share) for here, there in zip(one.things, two.things, strict=True))
    return Drawing(points=points, things=things)


def _thing(one: DrawnProp, two: DrawnProp, share: float) -> DrawnProp:
    to = _place(one.to, two.to, share) if one.to and two.to else one.to
    return replace(one, at=_place(one.at, two.at, share), to=to)


def _place(one: Point3, two: Point3, share: float) -> Point3:
    x, y, z = (start + share * (end - start) for start, end in zip(one, two, strict=True))
    return x, y, z
