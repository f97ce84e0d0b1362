"""The flesh on the joints: what blobs make a leg, an arm, the trunk. Radii are those of a middling adult.

Every radius here is chosen by eye, because the figure must read as a person and is no measure of the body drawn;
lengths and joints come from the pose.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from everyrung.publish.figure.geometry import Blob, View, between, blob, length, lying, plus, square_to, unit, way
from everyrung.terms.figure import Point3, Skeleton

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
    found = []
    for name, joints in LIMB_JOINTS.items():
        depths = {
            side: sum(view.depth(body[f"{joint}_{side}"]) for joint in joints) / len(joints)
            for side in ("left", "right")
        }
        for side, depth in depths.items():
            far = depth - min(depths.values()) > FAR_BY_M
            pieces = leg(body, side) if name == "leg" else arm(body, side)
            found.append(Limb(name=f"{name}_{side}", pieces=pieces, depth_m=depth, far=far))
    return found


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
    return {name: laid(blobs, body) for name, blobs in pieces.items()}


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
    return {name: laid(blobs, body) for name, blobs in pieces.items()}


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
    return [laid(blobs, body) for blobs in pieces]


def laid(blobs: Iterable[Blob], body: Skeleton) -> tuple[Blob, ...]:
    """The flesh where it lies on what bears the body."""
    return tuple(blob(lying(one.at, one.radius_m, body), one.radius_m) for one in blobs)


def _pair(middle: Point3, left: Point3, apart: float, radius: float) -> list[Blob]:
    return [blob(plus(middle, left, apart), radius), blob(plus(middle, left, -apart), radius)]
