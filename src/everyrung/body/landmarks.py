"""Named points of the body that a pose may speak of: 'heel_left on the floor', 'grip_right at ...'.

Each is a site of the model. Positions on the skin are estimates, some centimetres at most.
"""

import numpy as np

from everyrung.body.masses import Vector
from everyrung.body.skeleton import HEAD_FORWARD, HEEL_BEHIND, SIDES, Proportions, Scales
from everyrung.body.upstream_model import Element, words

Point = tuple[str, Vector]  # the bone, and where in its frame: forward, up, right in m
ANKLE_UP = 0.04195  # the upstream model's ankle above the frame of its heel bone, m
TOES = (0.1788, -0.002)  # the upstream model's toe joint before and above the frame of its heel bone, m
BALL_OUTSIDE_BACK = 0.85  # chosen, because the little toe's joint lies about so far along the foot as the great toe's
PAD_M = 0.02  # chosen, because skin and fat cover bone so far where one leans on it
BACK_M = 0.055  # chosen, because the skin of the back lies so far behind the middle of the vertebrae


def landmarks(body: Proportions, by: Scales, at: dict[str, Vector]) -> dict[str, Point]:
    """Every named point of this body, with its bone and place in it, m (axis: forward, up, right). `at` holds the
    frames of the neutral stand.
    """
    all_points = middle_points(body, by, at)
    for tag, (side, right) in SIDES.items():
        points = leg_points(body, by, right) | trunk_side_points(body, at, right) | arm_points(body, right)
        for name, (bone, where) in points.items():
            all_points[f"{name}_{side}"] = (f"{bone}_{tag}" if bone in SIDED else bone, where)
    return all_points


SIDED = {"femur", "tibia", "talus", "calcn", "toes", "humerus", "forearm", "hand"}


def xyz(forward: float, up: float, right: float) -> Vector:
    """A place in a bone's frame, m (axis: forward, up, right)."""
    return np.array([forward, up, right])


def leg_points(body: Proportions, by: Scales, right: float) -> dict[str, Point]:
    """Joint centres, the knee's front, and the sole, m: heel, ball (inner and outer) and toe tip touch one plane.
    `right` is 1 on the right, -1 on the left.
    """
    sole = ANKLE_UP * by.foot - body.ankle_m
    heel = -HEEL_BEHIND * body.foot_m
    ball = heel + body.ball_of_foot_m
    half = body.foot_breadth_m / 2
    tip = heel + body.foot_m
    toes = xyz(TOES[0] * by.foot, TOES[1] * by.foot, 0.0)
    outer = heel + BALL_OUTSIDE_BACK * body.ball_of_foot_m
    return {
        "hip": ("femur", xyz(0, 0, 0)),
        "knee": ("tibia", xyz(0, 0, 0)),
        "knee_front": ("tibia", xyz(0.05 * by.shank, -0.02 * by.shank, 0)),
        "ankle": ("talus", xyz(0, 0, 0)),
        "heel": ("calcn", xyz(heel + PAD_M, sole, 0)),
        "heel_back": ("calcn", xyz(heel, sole + PAD_M, 0)),
        "ball_inner": ("calcn", xyz(ball, sole, -right * half)),
        "ball_outer": ("calcn", xyz(outer, sole, right * half)),
        "ball": ("calcn", xyz((ball + outer) / 2, sole, 0)),
        "toe": ("toes", xyz(tip, sole, 0) - toes),
        "instep": ("calcn", xyz(TOES[0] * by.foot * 0.6, ANKLE_UP * by.foot, 0)),
    }


def trunk_side_points(body: Proportions, at: dict[str, Vector], right: float) -> dict[str, Point]:
    """Seat bones, hip's outer side and the shoulder's top and outer side, m (axis: forward, up, right)."""
    hip = at["femur_r"]
    seat = xyz(hip[0] - 0.02, hip[1] - body.seat_below_hip_m, right * 0.06)
    shoulder = at[f"humerus_{'r' if right > 0 else 'l'}"] - at["torso"]
    return {
        "seat": ("pelvis", seat),
        "buttock": ("pelvis", xyz(hip[0] - body.buttock_behind_hip_m, hip[1], right * abs(hip[2]))),
        "hip_side": ("pelvis", xyz(hip[0], hip[1], right * (abs(hip[2]) + 0.10))),
        "shoulder": ("humerus", xyz(0, 0, 0)),
        "shoulder_side": ("torso", shoulder + xyz(0, 0, right * 0.045)),
        "shoulder_back": ("torso", shoulder * [1, 1, 0.7] + xyz(-0.06, -0.03, 0)),
    }


def arm_points(body: Proportions, right: float) -> dict[str, Point]:
    """Joint centres, elbow's tip, the middle of the grip and the palm, m. Hanging, the palm faces the thigh."""
    return {
        "elbow": ("forearm", xyz(0, 0, 0)),
        "elbow_tip": ("humerus", xyz(0, -body.upper_arm_m - PAD_M, 0)),
        "wrist": ("hand", xyz(0, 0, 0)),
        "grip": ("hand", xyz(0, -body.grip_m, -right * PAD_M)),
        "palm": ("hand", xyz(0, -body.grip_m / 2, -right * PAD_M)),
        "fingertip": ("hand", xyz(0, -body.hand_m, 0)),
    }


def middle_points(body: Proportions, by: Scales, at: dict[str, Vector]) -> dict[str, Point]:
    """Pelvis, back from sacrum to head, chest and belly, m (axis: forward, up, right). The back's heights are those of
    the upstream vertebrae.
    """
    hip = at["femur_r"] * [1, 1, 0]
    head = body.head_m
    back = (
        by.trunk * -0.043 - BACK_M
    )  # the upstream model's middle thoracic vertebrae stand 43 mm behind the torso's frame
    neck = at["head"] - at["torso"]
    return {
        "pelvis": ("pelvis", hip),
        "sacrum": ("pelvis", xyz(-0.157 * by.pelvis - 0.01, 0.0, 0)),
        "pelvis_front": ("pelvis", xyz(PAD_M, 0.0, 0)),
        "lumbar": ("lumbar3", xyz(-BACK_M - PAD_M, 0.0, 0)),
        "thoracic": ("torso", xyz(back, 0.249 * by.trunk, 0)),
        "upper_back": ("torso", xyz(back, 0.325 * by.trunk, 0)),
        "chest_front": ("torso", xyz(back + body.chest_depth_m, 0.25 * by.trunk, 0)),
        "neck": ("torso", neck),
        "head": ("head", xyz(HEAD_FORWARD * head, head / 2, 0)),
        "head_top": ("head", xyz(HEAD_FORWARD * head, head, 0)),
        "head_back": ("head", xyz(HEAD_FORWARD * head - body.head_length_m / 2, 0.6 * head, 0)),
    }


def add_landmarks(tree: Element, points: dict[str, Point]) -> None:
    """Write the points into the tree as sites named after them. Raises KeyError for a bone that the tree has not."""
    by_name = {body.get("name", ""): body for body in tree.iter("body")}
    for name, (bone, where) in points.items():
        by_name[bone].append(Element("site", name=f"at {name}", pos=words(list(where))))
