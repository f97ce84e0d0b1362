"""Joint loads of simple holds against statics by hand: weight times lever, de Leva's numbers and bone lengths."""

from typing import Any

import numpy as np
import pytest

from everyrung.body.configuration import Configuration, freedom, upright
from everyrung.tables.anthropometry import SegmentShare, segment_shares

G = 9.80665
RIGHT_ANGLE = np.pi / 2
LYING = [0.5**0.5, -(0.5**0.5), 0.0, 0.0]  # turned a quarter about the left-right axis: on the back, face up


@pytest.fixture(params=["woman", "man"])
def configuration(request: pytest.FixtureRequest) -> Configuration:
    return Configuration(request.getfixturevalue(request.param))


def share(configuration: Configuration, name: str) -> SegmentShare:
    return segment_shares(configuration.body.size.sex)[name]


def kg(configuration: Configuration, *names: str) -> float:
    return sum(share(configuration, name).mass for name in names) * configuration.body.size.mass_kg


def arm_moment(configuration: Configuration, straight: bool) -> float:
    """About the shoulder, arm level (or only the bent forearm about the elbow), N m."""
    lengths = configuration.body.proportions
    start = lengths.upper_arm_m if straight else 0.0
    parts = [
        (kg(configuration, "forearm"), start + share(configuration, "forearm").cm * lengths.forearm_m),
        (kg(configuration, "hand"), start + lengths.forearm_m + share(configuration, "hand").cm * lengths.hand_m),
    ]
    if straight:
        parts.append((kg(configuration, "upper_arm"), share(configuration, "upper_arm").cm * lengths.upper_arm_m))
    return G * sum(mass * lever for mass, lever in parts)


def test_arm_held_forward(configuration: Configuration) -> None:
    configuration.set_q(upright(shoulder_flexion_left=RIGHT_ANGLE))
    assert configuration.gravity_load()[freedom("shoulder_flexion_left")] == pytest.approx(
        arm_moment(configuration, True), rel=0.002
    )


def test_arm_held_sideways(configuration: Configuration) -> None:
    configuration.set_q(upright(shoulder_abduction_right=RIGHT_ANGLE))
    load = configuration.gravity_load()
    assert load[freedom("shoulder_abduction_right")] == pytest.approx(arm_moment(configuration, True), rel=0.002)
    assert abs(load[freedom("shoulder_flexion_right")]) < 1e-9


def test_weight_held_in_the_bent_arm(configuration: Configuration) -> None:
    """5 kg in the grip: J^T m g on top of the forearm's own weight."""
    configuration.set_q(upright(elbow_flexion_left=RIGHT_ANGLE))
    held = 5.0 * G * configuration.point_jacobian("grip_left")[2]
    lever = configuration.body.proportions.forearm_m + configuration.body.proportions.grip_m
    load = configuration.gravity_load()[freedom("elbow_flexion_left")] + held[freedom("elbow_flexion_left")]
    assert load == pytest.approx(arm_moment(configuration, False) + 5.0 * G * lever, rel=0.002)


def test_shin_held_level_from_a_seat(configuration: Configuration) -> None:
    """Within 4 %: the knee's axis glides and is not quite square to the thigh, which by hand it is."""
    configuration.set_q(upright(hip_flexion_left=RIGHT_ANGLE))
    lengths = configuration.body.proportions
    foot_lever = configuration.point("knee_left")[1] - centre(configuration, ["calcn_l", "talus_l", "toes_l"])[1]
    by_hand = G * (
        kg(configuration, "shank") * share(configuration, "shank").cm * lengths.shank_m
        + kg(configuration, "foot") * foot_lever
    )
    assert configuration.gravity_load()[freedom("knee_flexion_left")] == pytest.approx(-by_hand, rel=0.04)


def centre(configuration: Configuration, bones: list[str]) -> Any:
    model = configuration.body.mj_model
    ids = [model.body(bone).id for bone in bones]
    return model.body_mass[ids] @ configuration.data.xipos[ids] / model.body_mass[ids].sum()


def test_straight_leg_held_just_off_the_floor(configuration: Configuration) -> None:
    q_ind = upright()
    q_ind[3:7] = LYING
    configuration.set_q(q_ind)
    lengths = configuration.body.proportions
    levers = [
        (kg(configuration, "thigh"), share(configuration, "thigh").cm * lengths.thigh_m),
        (kg(configuration, "shank"), lengths.thigh_m + share(configuration, "shank").cm * lengths.shank_m),
        (kg(configuration, "foot"), lengths.thigh_m + lengths.shank_m + lengths.ankle_m / 2),
    ]
    by_hand = G * sum(mass * lever for mass, lever in levers)
    assert configuration.gravity_load()[freedom("hip_flexion_right")] == pytest.approx(by_hand, rel=0.01)


def test_standing_on_the_balls_of_both_feet(configuration: Configuration) -> None:
    """Half the weight under each ball of the foot, body straight: ankle moment = force x lever - the foot's own weight.

    Within 4 %: the ankle's axis runs 10 degrees obliquely.
    """
    up = 0.5 * configuration.body.size.mass_kg * G
    push = sum(up * configuration.point_jacobian(f"ball_{side}")[2] for side in ("left", "right"))
    load = (configuration.gravity_load() - push)[freedom("ankle_dorsiflexion_left")]
    ankle = configuration.point("ankle_left")[1]
    by_hand = up * (ankle - configuration.point("ball_left")[1])
    by_hand -= kg(configuration, "foot") * G * (ankle - centre(configuration, ["calcn_l", "talus_l", "toes_l"])[1])
    assert load == pytest.approx(-by_hand, rel=0.04)


def test_trunk_held_level(configuration: Configuration) -> None:
    """Pelvis and trunk level, face down: weights above each lumbar joint times lever, averaged by the joints' shares.

    The shares (1, 0.185, 0.204, 0.231, 0.255 over 1.875) are upstream's; by virtual work they weigh the moments.
    """
    q_ind = upright()
    q_ind[3:7] = [0.5**0.5, 0.5**0.5, 0.0, 0.0]
    configuration.set_q(q_ind)
    shares = dict(
        zip(["lumbar5", "lumbar4", "lumbar3", "lumbar2", "lumbar1"], [1, 0.185, 0.204, 0.231, 0.255], strict=True)
    )
    model, by_hand = configuration.body.mj_model, 0.0
    above = ["torso", "head", *(f"{bone}_{tag}" for bone in ("humerus", "forearm", "hand") for tag in "lr")]
    for bone in reversed(shares):
        above.append(bone)
        ids = [model.body(name).id for name in above]
        joint = configuration.data.xpos[model.body(bone).id]
        by_hand += (
            shares[bone] / 1.875 * G * (model.body_mass[ids] * (joint[1] - configuration.data.xipos[ids][:, 1])).sum()
        )
    assert configuration.point("head_top")[1] < configuration.point("pelvis")[1] - 0.7, (
        "the body lies face down, head to the front"
    )
    load = configuration.gravity_load()[freedom("trunk_flexion")]
    assert load == pytest.approx(-by_hand, rel=0.02)  # the abdomen's hundredth of the middle trunk turns on its own


def test_neck_holds_the_head_level(configuration: Configuration) -> None:
    q_ind = upright()
    q_ind[3:7] = [0.5**0.5, 0.5**0.5, 0.0, 0.0]
    configuration.set_q(q_ind)
    by_hand = (
        kg(configuration, "head") * G * (1 - share(configuration, "head").cm) * configuration.body.proportions.head_m
    )
    assert configuration.gravity_load()[freedom("neck_flexion")] == pytest.approx(-by_hand, rel=0.01)


def test_the_pelvis_bears_the_weight(configuration: Configuration) -> None:
    assert configuration.gravity_load()[:3] == pytest.approx([0, 0, configuration.body.size.mass_kg * G], rel=1e-12)
