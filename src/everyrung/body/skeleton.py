"""Stature to bone lengths, and the tree of one body's bones: the upstream model's scaled, with our own head and arms.

Every length is the survey's mean for people of that sex and stature (tables/anthropometry.csv).
"""

from dataclasses import dataclass

from everyrung.body.upstream_model import Element, numbers, words
from everyrung.tables.anthropometry import measure
from everyrung.terms.person import BodySize, Sex

# From memory: de Leva 1996, J Biomech 29(9):1231-1233: the shoulder centre lies 10.4 % and the elbow centre 95.7 % of
# the way from acromion to radiale.
SHOULDER_DROP, ELBOW_DROP = 0.104, 0.957
# From memory: de Leva 1996, part lengths of the trunk in mm: xiphion to omphalion, suprasternale to xiphion.
TRUNK_PARTS_MM = {Sex.FEMALE: (205.3, 142.5), Sex.MALE: (215.5, 170.7)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Proportions:
    """Lengths in m of a standing barefoot body. Heights are above the floor."""

    stature_m: float
    cervicale_m: float
    xiphion_m: float
    omphalion_m: float
    shoulder_m: float
    hip_m: float
    knee_m: float
    ankle_m: float
    upper_arm_m: float
    forearm_m: float
    grip_m: float
    hand_m: float
    biacromial_m: float
    bicristal_m: float
    foot_m: float
    ball_of_foot_m: float
    foot_breadth_m: float
    seat_below_hip_m: float
    buttock_behind_hip_m: float
    head_length_m: float
    chest_depth_m: float

    @property
    def thigh_m(self) -> float:
        """From the hip's height to the centre of the knee."""
        return self.hip_m - self.knee_m

    @property
    def shank_m(self) -> float:
        """From the knee's height to the centre of the ankle."""
        return self.knee_m - self.ankle_m

    @property
    def head_m(self) -> float:
        """How far the vertex is above the lowest vertebra of the neck."""
        return self.stature_m - self.cervicale_m


def proportions(size: BodySize) -> Proportions:
    """The mean lengths for this sex and stature (gordon2014).

    The hip centre is taken level with the trochanterion; the wrist's as far above the stylion as the elbow's above the
    radiale, for so the arm's parts come within 4 % of de Leva's and its reach within 2 % of the survey's span.

    >>> man = proportions(BodySize(sex="male", stature_m=1.80, mass_kg=80))
    >>> round(man.thigh_m, 2), round(man.shank_m, 2)
    (0.42, 0.43)
    """

    def at(name: str) -> float:
        return measure(size.sex, name).at(size.stature_m)

    hip, knee = at("trochanterion_height"), at("lateral_femoral_epicondyle_height")
    omphalion, suprasternale = at("omphalion_height"), at("suprasternale_height")
    low, high = TRUNK_PARTS_MM[size.sex]
    acromion_radiale = at("acromion_radiale_length")
    hand = at("hand_length")
    knee_front = at("buttock_knee_length") - (hip - knee)  # both ends' flesh around the thigh bone
    return Proportions(
        stature_m=size.stature_m,
        cervicale_m=at("cervicale_height"),
        xiphion_m=omphalion + low / (low + high) * (suprasternale - omphalion),
        omphalion_m=omphalion,
        shoulder_m=at("acromial_height") - SHOULDER_DROP * acromion_radiale,
        hip_m=hip,
        knee_m=knee,
        ankle_m=at("lateral_malleolus_height"),
        upper_arm_m=(ELBOW_DROP - SHOULDER_DROP) * acromion_radiale,
        forearm_m=at("radiale_stylion_length"),
        grip_m=hand - (at("forearm_hand_length") - at("forearm_grip_length")),
        hand_m=hand,
        biacromial_m=at("biacromial_breadth"),
        bicristal_m=at("bicristal_breadth"),
        foot_m=at("foot_length"),
        ball_of_foot_m=at("ball_of_foot_length"),
        foot_breadth_m=at("foot_breadth"),
        seat_below_hip_m=at("sitting_height") - (size.stature_m - hip),
        buttock_behind_hip_m=knee_front - KNEE_FRONT_OF_CENTRE_M,
        head_length_m=at("head_length"),
        chest_depth_m=at("chest_depth"),
    )


KNEE_FRONT_OF_CENTRE_M = 0.055  # chosen, because the knee cap's front lies about so far before the knee's centre


BONES = {
    "pelvis": ("root", "pelvis", "sacrum"),
    "trunk": ("lumbar5", "lumbar4", "lumbar3", "lumbar2", "lumbar1", "Abdomen", "torso"),
    "thigh": ("femur", "patella"),
    "shank": ("tibia",),
    "foot": ("talus", "calcn", "toes"),
}
SEGMENT_OF = {bone: segment for segment, bones in BONES.items() for bone in bones}
# Whom the upstream model's bones describe: Rajagopal 2016, IEEE Trans Biomed Eng 63:2068, from memory.
REFERENCE = BodySize(sex=Sex.MALE, stature_m=1.70, mass_kg=75.0)
WHEEL_FOOT_M = 0.2655  # heel to toe tip of the upstream model's foot meshes
HEEL_BEHIND = 0.0098 / WHEEL_FOOT_M  # of foot length: the upstream model's heel mesh behind the frame of its heel bone
WHEEL_CERVICALE = (-0.028, 0.400)  # forward and up in the torso: the lower end of the upstream model's neck mesh
WHEEL_SHOULDER_FORWARD = 0.005  # chosen, because it is the middle of the depth of the upstream model's chest mesh
HEAD_FORWARD = 0.13  # of the head's height: how far the upstream model's skull stands before its neck's lower end
SHOULDER_INSIDE = 0.85  # shoulder centres' distance over biacromial breadth: Rajagopal 2016, 0.34 m, from memory
SIDES = {"l": ("left", -1.0), "r": ("right", 1.0)}
RIGHT, UP, FORWARD = (0.0, 0.0, 1.0), (0.0, 1.0, 0.0), (1.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Scales:
    """How much larger each part is than the upstream model's."""

    pelvis: float
    trunk: float
    thigh: float
    shank: float
    foot: float

    def of(self, bone: str) -> float:
        """The factor of one bone, left and right alike: that of its segment. Raises KeyError for a bone of none."""
        return float(getattr(self, SEGMENT_OF[bone.removesuffix("_l").removesuffix("_r")]))


def up(tree: Element, bone: str) -> float:
    """How far a bone's joint lies above its parent's, m."""
    return next(numbers(body.get("pos", ""))[1] for body in tree.iter("body") if body.get("name") == bone)


def scales(tree: Element, body: Proportions) -> Scales:
    """The scales that make the upstream model's heights those of `body`; the pelvis goes with its crests' breadth."""
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
