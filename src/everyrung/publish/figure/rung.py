"""A drawn body lies on what it touches: how deep flesh would be in floor, ball or wall, and what is done about it.

The solved pose knows joints and one point of each support; the flesh round them is chosen by eye, and a wrist or an
ankle that bears nothing is stiff. So hands and feet are turned out of what they would be in, and flesh is moved up to
the surface that it presses on.

A rung as a picture: at full depth with its start as a ghost, from the side or wherever it is clearer.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise
from math import cos, pi, radians, sin

from everyrung.publish.figure.anatomy import arm, head_of, leg, trunk
from everyrung.publish.figure.draw import Picture, Pose, figure_svg, sequence_svg
from everyrung.publish.figure.geometry import (
    FRONT,
    SIDE,
    SOLID,
    THREE_QUARTER,
    Blob,
    View,
    between,
    blob,
    cross,
    depth_m,
    dot,
    length,
    lying,
    plus,
    unit,
    way,
)
from everyrung.publish.figure.implement import drawing_with_kit
from everyrung.terms.demand import Drawing, DrawnProp, RungDrawing
from everyrung.terms.figure import Point3, Prop, PropKind, Skeleton
from everyrung.terms.move import Rung

STEPS = 4  # between two blobs of an outline; chosen, because limbs hardly taper over a quarter of their length
TOUCHING_M = 0.002  # so deep is no fault; chosen, because it is less than a stroke
TURN_STEP, MOST_TURN = radians(3), radians(120)  # of a hand or a foot; chosen, because no wrist or ankle bends farther
FIRM = ("hand", "foot", "toes", "shank", "forearm", "head")  # what a ball gives way to; trunk and thighs lie on it
TURN_FROM_M = 0.02  # what is less deep is flesh that lies on its support
TURN_COST_M = 0.02  # a radian is worth so much; chosen, because flesh that lies on its support hides as much
HEAD_RIM = 12
LEAST_BALL, FITTINGS = 0.7, 6  # of its size, and tries; chosen, because a smaller one would be another ball
HANDS, FEET = ("grip", "fingertip", "palm"), ("heel", "heel_back", "ball_inner", "ball_outer", "toe")


@dataclass(frozen=True, slots=True, kw_only=True)
class Overlap:
    """A part of the body in a thing, and how deep, mm."""

    part: str
    thing: PropKind
    deep_mm: float


def overlaps(body: Skeleton, props: Sequence[Prop]) -> list[Overlap]:
    """The deepest of each part of the body in each thing, deepest first; empty where nothing is in anything."""
    deepest: dict[tuple[str, PropKind], float] = {}
    for part, one in _flesh(body):
        for prop in props:
            if prop.kind in SOLID:
                key = (part, prop.kind)
                deepest[key] = max(deepest.get(key, 0.0), 1000 * depth_m(one.at, one.radius_m, prop))
    result = [Overlap(part=part, thing=thing, deep_mm=deep_mm) for (part, thing), deep_mm in deepest.items() if deep_mm]
    return sorted(result, key=lambda each: -each.deep_mm)


def settle(body: Skeleton, props: Sequence[Prop]) -> tuple[Skeleton, tuple[Prop, ...]]:
    """The body and the things as they are drawn: a ball no wider than the hands or knees that hold it let it be, hands
    and feet turned out of what they would be in, and flesh that lies on its support.
    """
    solid = tuple(prop for prop in props if prop.kind in SOLID)
    for side in ("left", "right"):
        body = _turn_clear(body, f"ankle_{side}", [f"{name}_{side}" for name in FEET], f"knee_{side}", solid)
        body = _turn_clear(body, f"wrist_{side}", [f"{name}_{side}" for name in HANDS], f"elbow_{side}", solid)
    body = _head_laid(replace(body, bearing=solid))
    snug = tuple(_fit_ball(prop, body) if prop.kind is PropKind.BALL else prop for prop in props)
    return replace(body, bearing=tuple(prop for prop in snug if prop.kind in SOLID)), snug


def _head_laid(body: Skeleton) -> Skeleton:
    """The head where it lies on its support, as far from the neck as it was."""
    thick, neck = length(way(body["head"], body["head_back"])), body["neck"]
    up = unit(way(neck, lying(body["head"], thick, body)))
    shift = way(body["head"], plus(neck, up, length(way(neck, body["head"]))))
    points = {name: plus(at, shift) if name.startswith("head") else at for name, at in body.points.items()}
    return replace(body, points=points)


def _fit_ball(ball: Prop, body: Skeleton) -> Prop:
    """The ball made smaller until nothing firm is in it; one on the floor stays on it."""
    floor = next((prop.at[2] for prop in body.bearing if prop.kind is PropKind.FLOOR), None)
    lies = floor is not None and abs(ball.at[2] - ball.size_m / 2 - floor) < TOUCHING_M
    firm = [one for part, one in _flesh(replace(body, bearing=())) if part.startswith(FIRM)]
    least_m = ball.size_m * LEAST_BALL
    for _ in range(FITTINGS):
        deep = max(depth_m(one.at, one.radius_m, ball) for one in firm)
        if deep <= TOUCHING_M:
            break
        size = max(least_m, ball.size_m - 2 * deep)
        ball = replace(
            ball, at=(*ball.at[:2], floor + size / 2) if lies and floor is not None else ball.at, size_m=size
        )
    return ball


def _turn_clear(body: Skeleton, joint: str, ends: Sequence[str], above: str, solid: Sequence[Prop]) -> Skeleton:
    """Hand or foot turned at its joint as little as clears it."""
    there = [name for name in ends if name in body.points]
    names = (joint.replace("wrist", "hand"),) if joint.startswith("wrist") else _foot_parts(joint)

    def deep(other: Skeleton) -> float:
        limb = arm if joint.startswith("wrist") else leg
        blobs = [one for name in names for one in limb(other, joint.rpartition("_")[2])[name][1:]]
        return max((depth_m(one.at, one.radius_m, prop) for one in blobs for prop in solid), default=0.0)

    begin = deep(body)
    if begin <= TURN_FROM_M:
        return body
    axis = _hinge(body, joint, there, above)
    best, least = body, begin
    for step in range(1, int(MOST_TURN / TURN_STEP) + 1):
        if TOUCHING_M + step * TURN_STEP * TURN_COST_M >= least:
            break  # however clear it were, so far a turn costs more
        for sense in (1, -1):
            trial = _round(body, joint, there, axis, sense * step * TURN_STEP)
            cost = max(deep(trial), TOUCHING_M) + step * TURN_STEP * TURN_COST_M
            if cost < least:
                best, least = trial, cost
    return best


def _foot_parts(joint: str) -> tuple[str, str]:
    side = joint.rpartition("_")[2]
    return f"foot_{side}", f"toes_{side}"


def _hinge(body: Skeleton, joint: str, ends: Sequence[str], above: str) -> Point3:
    """A joint's axis, square to the limb above it and to the hand or foot; across the body where both are in line."""
    tip = next(name for name in ends if name.startswith(("toe", "fingertip")))
    limb, end = unit(way(body[above], body[joint])), unit(way(body[joint], body[tip]))
    axis = cross(limb, end)
    if length(axis) > 0.2:
        return unit(axis)
    side = cross(end, (0.0, -1.0, 0.0))
    return unit(side) if length(side) > 0.2 else (1.0, 0.0, 0.0)


def _round(body: Skeleton, joint: str, ends: Sequence[str], axis: Point3, angle: float) -> Skeleton:
    """Some points turned about an axis through a joint (Rodrigues)."""
    middle = body[joint]
    points = dict(body.points)
    for name in ends:
        arm_m = way(middle, body[name])
        along = dot(axis, arm_m) * (1 - cos(angle))
        spot = plus(plus((0.0, 0.0, 0.0), arm_m, cos(angle)), cross(axis, arm_m), sin(angle))
        points[name] = plus(plus(middle, spot), axis, along)
    return replace(body, points=points)


def _flesh(body: Skeleton) -> Iterator[tuple[str, Blob]]:
    """Every piece of the body as spheres close together, the head as its rim."""
    head = head_of(body)
    for up in range(-2, 3):
        for turn in range(HEAD_RIM):
            high, round_rad = up / 2, 2 * pi * turn / HEAD_RIM
            wide = (1 - high * high) ** 0.5
            yield "head", blob(head.place((wide * cos(round_rad), high, wide * sin(round_rad))), 0.0)
    for blobs in trunk(body):
        yield from _fill("trunk", blobs)
    for side in ("left", "right"):
        for name, blobs in {**leg(body, side), **arm(body, side)}.items():
            yield from _fill(name, blobs)


def _fill(name: str, blobs: tuple[Blob, ...]) -> Iterator[tuple[str, Blob]]:
    yield name, blobs[0]
    for one, other in pairwise(blobs):
        for step in range(1, STEPS + 1):
            share = step / STEPS
            radius = one.radius_m + share * (other.radius_m - one.radius_m)
            yield name, blob(between(one.at, other.at, share), radius)


DRAWINGS = 64  # kept, because a body and its things are asked for one after the other
PICTURES = 128  # kept, some 5 MB; chosen, because sheet and player show the same rungs, a session has some 70
VIEWS = {"side": SIDE, "front": FRONT, "three-quarter": THREE_QUARTER}


def rung_svg(rung: Rung, drawing: RungDrawing, *, height_mm: float = 40.0, view: View | None = None) -> str:
    """One picture of a rung: full depth, or the end of the extra there, the start dashed behind it; from where its
    move is clearest."""
    return _svg(drawing_with_kit(rung, drawing), _picture(rung, height_mm, view or VIEWS[drawing.seen]))


@lru_cache(PICTURES)
def _svg(drawing: RungDrawing, picture: Picture) -> str:
    start = None if drawing.rest == drawing.full else skeleton(drawing.rest)
    pose = drawing.extra or drawing.full
    return figure_svg(Pose(body=skeleton(pose), props=props(pose), start=start), picture)


def rep_svg(rung: Rung, drawing: RungDrawing, *, height_mm: float = 60.0) -> str:
    """A repetition from rest to full depth and the extra there, side by side; a hold as the one pose it is."""
    drawing = drawing_with_kit(rung, drawing)
    stages = [drawing.full] if drawing.rest == drawing.full else [drawing.rest, drawing.full]
    stages += [drawing.extra] if drawing.extra else []
    poses = [Pose(body=skeleton(each), props=props(each)) for each in stages]
    return sequence_svg(poses, _picture(rung, height_mm, VIEWS[drawing.seen]))


def _picture(rung: Rung, height_mm: float, view: View) -> Picture:
    return Picture(title=rung.name, view=view, height_mm=height_mm, max_width_mm=height_mm * 3.5)


def skeleton(drawing: Drawing) -> Skeleton:
    """The body as it is drawn, lying on what bears it."""
    return _settle(drawing)[0]


def props(drawing: Drawing) -> tuple[Prop, ...]:
    """The things as they are drawn, in the order of the drawing."""
    return _settle(drawing)[1]


@lru_cache(DRAWINGS)
def _settle(drawing: Drawing) -> tuple[Skeleton, tuple[Prop, ...]]:
    return settle(Skeleton(points=dict(drawing.points)), [_prop(thing) for thing in drawing.things])


def _prop(thing: DrawnProp) -> Prop:
    return Prop(kind=PropKind(thing.kind), at=thing.at, size_m=thing.size_m, to=thing.to, turn_deg=thing.turn_deg)
