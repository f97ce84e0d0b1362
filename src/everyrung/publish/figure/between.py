"""Poses between the solved ones: a motion is smooth, bones keep their length, nothing dips into what it passes."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from math import dist, sqrt

from everyrung.publish.figure.anatomy import LIMB_JOINTS
from everyrung.publish.figure.geometry import plus, square_to, unit, way
from everyrung.terms.demand import Drawing, DrawnProp
from everyrung.terms.figure import Point3

# What goes with a limb's last joint, and from where: straight ways bring it nearer, by 4 mm in a foot that swings.
ENDS = {
    "leg": {"heel": "ankle"}
    | dict.fromkeys(("heel_back", "ball_inner", "ball_outer", "ball", "instep", "toe"), "heel"),
    "arm": dict.fromkeys(("grip", "palm", "fingertip"), "wrist"),
}
STRAIGHT = 0.98  # of its length; chosen: a limb that is straighter would buckle in the middle to keep both its ends


def between(poses: Sequence[Drawing], steps: int) -> list[Drawing]:
    """The poses with `steps` from each to the next; points and things go straight, and bones keep their length.

    A bent limb's ends stay on the straight way, for they may bear on something, and its knee or elbow gives way; of a
    straight one hand or foot does, by millimetres.
    """
    mixes = [_mix(one, two, step / steps) if step else one for one, two in pairwise(poses) for step in range(steps)]
    return [*mixes, poses[-1]]


def _mix(one: Drawing, two: Drawing, share: float) -> Drawing:
    starts, ends = dict(one.points), dict(two.points)
    straight = {name: plus(place, way(place, ends[name]), share) for name, place in starts.items()}
    points = dict(straight)

    def length_m(root: str, tip: str) -> float:
        before, after = (dist(pose[root], pose[tip]) for pose in (starts, ends))
        return before + share * (after - before)

    for kind, joints in LIMB_JOINTS.items():
        for side in ("left", "right"):
            root, middle, tip = (f"{joint}_{side}" for joint in joints)
            limb = points[root], points[middle], points[tip]
            points[middle], points[tip] = _limb(*limb, length_m(root, middle), length_m(middle, tip))
            for name, start in ((f"{end}_{side}", f"{hold}_{side}") for end, hold in ENDS[kind].items()):
                if name in points:
                    out = unit(way(straight[start], straight[name]))
                    points[name] = plus(points[start], out, length_m(start, name))
    things = tuple(_thing_between(here, there, share) for here, there in zip(one.things, two.things, strict=True))
    return Drawing(points=tuple(points.items()), things=things)


def _limb(root: Point3, middle: Point3, tip: Point3, upper_m: float, lower_m: float) -> tuple[Point3, Point3]:
    """Middle joint and tip of a limb whose bones have these lengths, near where they are."""
    apart_m = dist(root, tip)
    if not abs(upper_m - lower_m) < apart_m < STRAIGHT * (upper_m + lower_m):
        bent = plus(root, unit(way(root, middle)), upper_m)
        return bent, plus(bent, unit(way(middle, tip)), lower_m)
    axis = unit(way(root, tip))
    along_m = (apart_m**2 + upper_m**2 - lower_m**2) / (2 * apart_m)
    out = square_to(way(root, middle), axis)
    return plus(plus(root, axis, along_m), out, sqrt(upper_m**2 - along_m**2)), tip


def _thing_between(one: DrawnProp, two: DrawnProp, share: float) -> DrawnProp:
    to = plus(one.to, way(one.to, two.to), share) if one.to and two.to else one.to
    return replace(one, at=plus(one.at, way(one.at, two.at), share), to=to)
