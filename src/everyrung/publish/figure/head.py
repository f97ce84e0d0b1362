"""The head: an egg seen from anywhere, hair over crown and back, and a nose, so that front and back can be told."""

from dataclasses import dataclass
from math import cos, pi, sin

from everyrung.publish.figure.geometry import Flat, View, cross, dot, length, plus, square_to, unit, way
from everyrung.terms.figure import Point3, Skeleton

STEPS = 24
HAIR = (-0.80, 0.60, 0.0)  # chosen, because a parting plane so tilted leaves the face bare to above the brow
NOSE = ((0.99, 0.02, 0.0), (1.24, -0.24, 0.0), (0.93, -0.32, 0.0))  # bridge, tip, lip: forward and up, in head radii
EYES = ((0.86, 0.14, 0.40), (0.86, 0.14, -0.40))  # chosen by eye, close to the rim of the unit ball
BREADTH = 0.78  # chosen, because heads are about so broad for their length
FACE_SHARE = 0.94  # of the way to the back of the head; chosen by eye


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """Three half axes, m: forward, up and left."""

    at: Point3
    forward: Point3
    up: Point3
    left: Point3

    def place(self, inner: Point3) -> Point3:
        """From the unit ball to the room."""
        along = plus(self.at, self.forward, inner[0])
        return plus(plus(along, self.up, inner[1]), self.left, inner[2])

    def eye(self, view: View) -> Point3:
        """The direction to the eye in the unit ball: the rim one sees is square to it."""
        axes = (self.forward, self.up, self.left)
        forward, up, left = (dot(view.toward, axis) / dot(axis, axis) for axis in axes)
        return unit((forward, up, left))


def head_of(body: Skeleton) -> Head:
    up = way(body["head"], body["head_top"])
    back = way(body["head"], body["head_back"])
    forward = square_to(plus((0.0, 0.0, 0.0), back, -1.0), unit(up))
    half = -dot(back, forward)
    tall = length(up)
    left = cross(unit(up), forward)
    return Head(
        at=body["head"],
        forward=plus((0.0, 0.0, 0.0), forward, half * FACE_SHARE),
        up=plus((0.0, 0.0, 0.0), unit(up), tall),
        left=plus((0.0, 0.0, 0.0), left, half * BREADTH),
    )


def _arc(head: Head, view: View, start: Point3, through: Point3) -> list[Flat]:
    """Half a great circle of the unit ball from `start` by `through` to the other side, as seen."""
    turns = [pi * at / STEPS for at in range(STEPS + 1)]
    none = (0.0, 0.0, 0.0)
    return [view.flat(head.place(plus(plus(none, start, cos(turn)), through, sin(turn)))) for turn in turns]


def face(head: Head, view: View) -> list[Flat]:
    """The whole rim."""
    eye = head.eye(view)
    start = square_to((0.3, 0.4, 0.86), eye)
    across = cross(eye, start)
    opposite = plus((0.0, 0.0, 0.0), across, -1.0)
    return _arc(head, view, start, across) + _arc(head, view, start, opposite)[::-1]


def hair(head: Head, view: View) -> list[Flat]:
    """The seen part of the half of the head that hair covers: along the rim, back along the parting."""
    eye, parting = head.eye(view), unit(HAIR)
    start = unit(cross(eye, parting))
    on_rim = cross(start, eye)
    if dot(on_rim, parting) < 0:
        on_rim = plus((0.0, 0.0, 0.0), on_rim, -1.0)
    on_parting = cross(start, parting)
    if dot(on_parting, eye) < 0:
        on_parting = plus((0.0, 0.0, 0.0), on_parting, -1.0)
    return _arc(head, view, start, on_rim) + _arc(head, view, start, on_parting)[::-1]


def nose(head: Head, view: View) -> list[Flat]:
    return [view.flat(head.place(corner)) for corner in NOSE]


def eyes(head: Head, view: View) -> list[Flat]:
    """The eyes that are seen from here: none, one or two."""
    eye = head.eye(view)
    return [view.flat(head.place(one)) for one in EYES if dot(one, eye) > 0.3]


def nose_is_hidden(head: Head, view: View) -> bool:
    """Whether the face is turned away."""
    return dot(head.forward, view.toward) < -0.3 * length(head.forward)
