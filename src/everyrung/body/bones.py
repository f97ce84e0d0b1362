"""The tree of one body: the wheel's bones scaled to its proportions, with our own head and arms."""

from dataclasses import dataclass

from everyrung.body.proportions import Proportions, proportions
from everyrung.body.upstream_model import Element, numbers, words
from everyrung.terms.body import BodySize, Sex

BONES = {
    "pelvis": ("root", "pelvis", "sacrum"),
    "trunk": ("lumbar5", "lumbar4", "lumbar3", "lumbar2", "lumbar1", "Abdomen", "torso"),
    "thigh": ("femur", "patella"),
    "shank": ("tibia",),
    "foot": ("talus", "calcn", "toes"),
}
SEGMENT_OF = {bone: segment for segment, bones in BONES.items() for bone in bones}
# Whom the wheel's bones describe: Rajagopal 2016, IEEE Trans Biomed Eng 63:2068, from memory.
REFERENCE = BodySize(sex=Sex.MALE, stature_m=1.70, mass_kg=75.0)
WHEEL_FOOT_M = 0.2655  # heel to toe tip of the wheel's foot meshes
HEEL_BEHIND = 0.0098 / WHEEL_FOOT_M  # of foot length: the wheel's heel mesh behind the frame of its heel bone
WHEEL_CERVICALE = (-0.028, 0.400)  # forward and up in the torso: the lower end of the wheel's neck mesh
WHEEL_SHOULDER_FORWARD = 0.005  # chosen, because it is the middle of the depth of the wheel's chest mesh
HEAD_FORWARD = 0.13  # of the head's height: how far the wheel's skull stands before its neck's lower end
SHOULDER_INSIDE = 0.85  # shoulder centres' distance over biacromial breadth: Rajagopal 2016, 0.34 m, from memory
SIDES = {"l": ("left", -1.0), "r": ("right", 1.0)}
RIGHT, UP, FORWARD = (0.0, 0.0, 1.0), (0.0, 1.0, 0.0), (1.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Scales:
    """How much larger each part is than the wheel's."""

    pelvis: float
    trunk: float
    thigh: float
    shank: float
    foot: float

    def of(self, bone: str) -> float:
        return float(getattr(self, SEGMENT_OF[bone.removesuffix("_l").removesuffix("_r")]))


def up(tree: Element, bone: str) -> float:
    """How far a bone's joint lies above its parent's, in m."""
    return next(numbers(body.get("pos", ""))[1] for body in tree.iter("body") if body.get("name") == bone)


def scales(tree: Element, body: Proportions) -> Scales:
    """The scales that make the wheel's heights those of `body`; the pelvis goes with the breadth of its crests."""
    pelvis = body.bicristal_m / proportions(REFERENCE).bicristal_m
    hip_to_lumbar = up(tree, "lumbar5") - up(tree, "femur_r")
    spine = sum(up(tree, bone) for bone in ("lumbar4", "lumbar3", "lumbar2", "lumbar1", "torso")) + WHEEL_CERVICALE[1]
    return Scales(
        pelvis=pelvis,
        trunk=(body.cervicale_m - body.hip_m - pelvis * hip_to_lumbar) / spine,
        thigh=-body.thigh_m / up(tree, "tibia_r"),
        shank=-body.shank_m / up(tree, "talus_r"),
        foot=body.foot_m / WHEEL_FOOT_M,
    )


def scale_bones(tree: Element, by: Scales) -> None:
    """Scale every bone with its muscle paths, wrapping surfaces and the sliding couplings of its joints."""
    slides: dict[str, float] = {}
    for parent in tree.iter("body"):
        factor = by.of(parent.get("name", ""))
        for child in parent:
            for attribute in ("pos", "size"):
                if child.get(attribute):
                    child.set(attribute, words([factor * value for value in numbers(child.get(attribute, ""))]))
            if child.tag == "body":
                moving = (joint for joint in child.findall("joint") if joint.get("type") == "slide")
                slides |= {joint.get("name", ""): factor for joint in moving}
    for coupling in tree.findall("equality/joint"):
        factor = slides.get(coupling.get("joint1", ""), 1.0)
        coupling.set("polycoef", words([factor * value for value in numbers(coupling.get("polycoef", ""))]))


def add_head_and_arms(tree: Element, body: Proportions, by: Scales) -> None:
    """Our own head with one neck hinge and our own arms of three segments, in the torso's frame."""
    torso = next(bone for bone in tree.iter("body") if bone.get("name") == "torso")
    neck = [by.trunk * WHEEL_CERVICALE[0], by.trunk * WHEEL_CERVICALE[1], 0.0]
    limb(torso, "head", neck, {"neck_flexion": (0.0, 0.0, -1.0)})
    for tag, (side, right) in SIDES.items():
        shoulder = [
            by.trunk * WHEEL_SHOULDER_FORWARD,
            neck[1] - (body.cervicale_m - body.shoulder_m),
            right * SHOULDER_INSIDE * body.biacromial_m / 2,
        ]
        turn_in = (0.0, right, 0.0)
        joints = {"flexion": RIGHT, "abduction": (-right, 0.0, 0.0), "rotation_in": turn_in}
        arm = limb(torso, f"humerus_{tag}", shoulder, {f"shoulder_{name}_{side}": joints[name] for name in joints})
        joints = {f"elbow_flexion_{side}": RIGHT, f"forearm_pronation_{side}": turn_in}
        forearm = limb(arm, f"forearm_{tag}", [0.0, -body.upper_arm_m, 0.0], joints)
        limb(forearm, f"hand_{tag}", [0.0, -body.forearm_m, 0.0], {})


def limb(parent: Element, name: str, pos: list[float], joints: dict[str, tuple[float, float, float]]) -> Element:
    """A bone of our own below `parent`, hinged in the order given."""
    bone = Element("body", name=name, pos=words(pos))
    bone.extend(Element("joint", name=joint, axis=words(list(axis))) for joint, axis in joints.items())
    parent.append(bone)
    return bone
