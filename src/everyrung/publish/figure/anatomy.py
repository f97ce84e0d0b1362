"""The flesh on the joints: what blobs make a leg, an arm, the trunk, and the head with its hair and nose."""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from math import cos, pi, sin

from everyrung.publish.figure.geometry import (
    MOST_M,
    Blob,
    Flat,
    View,
    between,
    blob,
    cross,
    depth_m,
    dot,
    length,
    lying,
    plus,
    square_to,
    unit,
    way,
)
from everyrung.terms.figure import Point3, PropKind, Skeleton

FAR_BY_M = 0.08  # chosen, because limbs of a pair nearer each other in depth look equally near
LIMB_JOINTS = {"leg": ("hip", "knee", "ankle"), "arm": ("shoulder", "elbow", "wrist")}


@dataclass(frozen=True, slots=True, kw_only=True)
class Limb:
    """One arm or leg: its pieces by name, each the blobs of one outline, and how far away its middle is, m."""

    name: str
    pieces: dict[str, tuple[Blob, ...]]
    depth_m: float
    far: bool


def limbs(body: Skeleton, view: View) -> list[Limb]:
    """Both legs and both arms; the one clearly behind its fellow is far."""
    result = []
    for name, joints in LIMB_JOINTS.items():
        depths = {
            side: sum(view.depth(body[f"{joint}_{side}"]) for joint in joints) / len(joints)
            for side in ("left", "right")
        }
        for side, depth in depths.items():
            far = depth - min(depths.values()) > FAR_BY_M
            pieces = leg(body, side) if name == "leg" else arm(body, side)
            result.append(Limb(name=f"{name}_{side}", pieces=pieces, depth_m=depth, far=far))
    return result


def leg(body: Skeleton, side: str) -> dict[str, tuple[Blob, ...]]:
    """Thigh, calf with its belly behind, and the foot as two wedges that bend at the ball."""
    hip, knee, ankle = (body[f"{name}_{side}"] for name in ("hip", "knee", "ankle"))
    heel, back, toe = (body[f"{name}_{side}"] for name in ("heel", "heel_back", "toe"))
    upward = unit(way(heel, ankle))
    balls = [blob(plus(body[f"ball_{name}_{side}"], upward, 0.013), 0.013) for name in ("inner", "outer")]
    behind = square_to(way(toe, heel), unit(way(knee, ankle)))
    calf = plus(between(knee, ankle, 0.3), behind, 0.014)
    sole = plus(heel, upward, 0.02)
    pieces = {
        f"thigh_{side}": (blob(hip, 0.080), blob(between(hip, knee, 0.3), 0.077), blob(knee, 0.049)),
        f"shank_{side}": (blob(knee, 0.047), blob(calf, 0.051), blob(ankle, 0.030)),
        f"foot_{side}": (blob(ankle, 0.032), blob(sole, 0.020), blob(between(back, sole), 0.014), *balls),
        f"toes_{side}": (*balls, blob(plus(toe, upward, 0.010), 0.010)),
    }
    return {name: place_flesh(blobs, body) for name, blobs in pieces.items()}


def arm(body: Skeleton, side: str) -> dict[str, tuple[Blob, ...]]:
    """Upper arm with the shoulder's cap, forearm fullest below the elbow, and a small hand."""
    shoulder, elbow, wrist = (body[f"{name}_{side}"] for name in ("shoulder", "elbow", "wrist"))
    grip, tip = body[f"grip_{side}"], body[f"fingertip_{side}"]
    pieces = {
        f"upper_arm_{side}": (blob(shoulder, 0.052), blob(between(shoulder, elbow, 0.35), 0.046), blob(elbow, 0.034)),
        f"forearm_{side}": (blob(elbow, 0.033), blob(between(elbow, wrist, 0.25), 0.038), blob(wrist, 0.023)),
        f"hand_{side}": (
            blob(wrist, 0.023),
            blob(grip, 0.030),
            blob(between(grip, tip, 0.6), 0.021),
            blob(between(grip, tip, 0.9), 0.013),
        ),
    }
    return {name: place_flesh(blobs, body) for name, blobs in pieces.items()}


def trunk(body: Skeleton) -> list[tuple[Blob, ...]]:
    """Overlapping pieces whose joint outline is the trunk: neck, shoulders with chest, ribs to waist, waist to seat."""
    chest_forward = unit(way(body["thoracic"], body["chest_front"]))
    left = unit(way(body["shoulder_side_right"], body["shoulder_side_left"]))
    deep = length(way(body["thoracic"], body["chest_front"]))
    chest = between(body["thoracic"], body["chest_front"], 0.48)
    waist = plus(body["lumbar"], chest_forward, 0.105)
    hips_left = unit(way(body["hip_right"], body["hip_left"]))
    seat = plus(body["pelvis"], unit(way(body["pelvis"], body["lumbar"])), 0.03)
    ribs = _pair(chest, left, 0.048, deep * 0.47)
    waists = _pair(waist, left, 0.052, 0.085)
    shoulders = [blob(between(body[f"shoulder_side_{side}"], body["neck"], 0.28), 0.050) for side in ("left", "right")]
    spine = unit(way(body["lumbar"], body["neck"]))
    collar = blob(plus(plus(body["neck"], spine, -0.055), chest_forward, -0.01), 0.055)
    skull = between(body["neck"], body["head"], 0.55)
    pieces = [
        (collar, blob(body["neck"], 0.050), blob(skull, 0.046)),
        (collar, *shoulders, *ribs),
        (*ribs, *waists),
        (*waists, *_pair(seat, hips_left, 0.068, 0.098)),
    ]
    return [_over_balls(place_flesh(blobs, body), body) for blobs in pieces]


def _over_balls(piece: tuple[Blob, ...], body: Skeleton) -> tuple[Blob, ...]:
    """A piece that lies across a ball, moved up until it is not in it half way along either."""
    for ball in body.bearing:
        if ball.kind is PropKind.BALL:
            middles = [
                blob(between(one.at, other.at), (one.radius_m + other.radius_m) / 2) for one, other in pairwise(piece)
            ]
            deepest = max(middles, key=lambda one: depth_m(one.at, one.radius_m, ball))
            deep = depth_m(deepest.at, deepest.radius_m, ball)
            if 0 < deep <= MOST_M:
                shift = unit(way(ball.at, deepest.at))
                piece = tuple(blob(plus(one.at, shift, deep), one.radius_m) for one in piece)
    return piece


def place_flesh(blobs: Iterable[Blob], body: Skeleton) -> tuple[Blob, ...]:
    """The flesh where it lies on what bears the body."""
    if not body.bearing:
        return tuple(blobs)
    return tuple(blob(lying(one.at, one.radius_m, body), one.radius_m) for one in blobs)


def _pair(middle: Point3, left: Point3, apart: float, radius: float) -> list[Blob]:
    return [blob(plus(middle, left, apart), radius), blob(plus(middle, left, -apart), radius)]


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
