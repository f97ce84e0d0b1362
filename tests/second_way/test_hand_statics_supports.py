"""Supported poses against statics by hand: de Leva's masses at the points of the pose, weight times lever.

The trunk is straight in all of them, so its three parts lie on the line from mid-hip to between the shoulders.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from hand_loads import in_hand

from everyrung.body.configuration import Configuration, freedom, upright
from everyrung.body.contacts import Kind, contact, sole
from everyrung.body.coordinates import Array
from everyrung.body.demand import demand
from everyrung.body.ik_tasks import AngleTask, BalanceTask, DirectionTask, OffsetTask, PlaneTask, PointTask, Task
from everyrung.body.inverse_kinematics import solve_pose, standing
from everyrung.tables.anthropometry import segment_shares

G = 9.80665
WITHIN = 0.04  # the joint axes of the body run obliquely and the knee glides; by hand they do not
UP = (0.0, 0.0, 1.0)
AHEAD = (0.0, -1.0, 0.0)
SIDES = ("left", "right")
LEGS_STRAIGHT: list[Task] = [
    AngleTask(name=f"{joint}_{side}", angle_rad=0.0) for joint in ("knee_flexion", "hip_flexion") for side in SIDES
]
SOLES: list[Task] = [
    PlaneTask(point=f"{part}_{side}", normal=UP, weight=10)
    for part in ("heel", "ball_inner", "ball_outer")
    for side in SIDES
]


@pytest.fixture(params=["woman", "man"])
def configuration(request: pytest.FixtureRequest) -> Configuration:
    return Configuration(request.getfixturevalue(request.param))


def parts(configuration: Configuration) -> dict[str, tuple[float, Array]]:
    """Mass (kg) and place of every segment: de Leva's fraction of the way from its first end to its second."""
    shares, body, at = segment_shares(configuration.body.size.sex), configuration.body.proportions, configuration.point
    hip, top = (at("hip_left") + at("hip_right")) / 2, (at("shoulder_left") + at("shoulder_right")) / 2

    def on_trunk(height_m: float) -> Array:
        line: Array = hip + (top - hip) * (height_m - body.hip_m) / (body.shoulder_m - body.hip_m)
        return line

    ends = {
        "head": (at("head_top"), at("neck")),
        "upper_trunk": (on_trunk(body.cervicale_m), on_trunk(body.xiphion_m)),
        "middle_trunk": (on_trunk(body.xiphion_m), on_trunk(body.omphalion_m)),
        "lower_trunk": (on_trunk(body.omphalion_m), hip),
    }
    for side in SIDES:
        sole_up = at(f"ankle_{side}") - (at(f"heel_back_{side}") + at(f"toe_{side}")) / 2
        foot = (at(f"heel_back_{side}"), at(f"toe_{side}") + np.array([0.0, 0.0, sole_up[2] / 2]))
        ends |= {
            f"thigh {side}": (at(f"hip_{side}"), at(f"knee_{side}")),
            f"shank {side}": (at(f"knee_{side}"), at(f"ankle_{side}")),
            f"foot {side}": foot,
            f"upper_arm {side}": (at(f"shoulder_{side}"), at(f"elbow_{side}")),
            f"forearm {side}": (at(f"elbow_{side}"), at(f"wrist_{side}")),
            f"hand {side}": (at(f"wrist_{side}"), at(f"fingertip_{side}")),
        }
    found = {}
    for name, (first, last) in ends.items():
        share = shares[name.split()[0]]
        found[name] = (share.mass * configuration.body.size.mass_kg, first + share.cm * (last - first))
    return found


def moment(configuration: Configuration, about: Array, *names: str) -> float:
    """The moment of segments' weights about a left-right axis, N m; above zero when they would tip the body forward."""
    chosen = [part for name, part in parts(configuration).items() if name.split()[0] in names]
    return G * sum(mass * float(about[1] - centre[1]) for mass, centre in chosen)


def axis(configuration: Configuration, joint: str, point: str) -> tuple[Array, float]:
    """Where the joint turns in this pose, m (the knee glides as it bends), and how far left-right its axis points.

    Only this bit of kinematics is the body's own: a point that does not move when the joint alone turns.
    """
    turn, move = (
        part[:, freedom(joint)] for part in (configuration.turn_jacobian(point), configuration.point_jacobian(point))
    )
    return configuration.point(point) + np.cross(turn, move) / (turn @ turn), float(abs(turn[0]) / np.linalg.norm(turn))


ABOVE_HIPS = ("head", "upper_trunk", "middle_trunk", "lower_trunk", "upper_arm", "forearm", "hand")
ABOVE_KNEES = (*ABOVE_HIPS, "thigh")
ABOVE_ANKLES = (*ABOVE_KNEES, "shank")
ALL = (*ABOVE_ANKLES, "foot")


def test_quiet_stand_leaning_over_the_middle_of_the_foot(configuration: Configuration) -> None:
    """Each ankle bears half of what stands above it, times how far that is ahead of the ankle."""
    over = [(f"{part}_{side}", 1.0) for part in ("heel", "ball") for side in SIDES]
    tasks = [*SOLES, *LEGS_STRAIGHT, BalanceTask(shares=tuple(over))]
    configuration.set_q(solve_pose(configuration.body, tasks, standing(configuration.body)).q_ind)
    found = demand(configuration, [sole("left"), sole("right")])
    ankle, level = axis(configuration, "ankle_dorsiflexion_left", "ankle_left")
    by_hand = level * moment(configuration, ankle, *ABOVE_ANKLES) / 2
    assert found.feasible, found.shortfalls
    assert by_hand > 8.0, "leaning enough for the check to mean something"
    assert found.moment("ankle_plantarflexion_left") == pytest.approx(by_hand, rel=WITHIN)


def squat(configuration: Configuration) -> None:
    feet = tuple((f"{part}_{side}", 1.0) for part in ("heel", "ball") for side in SIDES)
    tasks: list[Task] = [
        *SOLES,
        *(DirectionTask(start=f"heel_{side}", end=f"ball_{side}", direction=AHEAD) for side in SIDES),
        *(AngleTask(name=f"hip_{way}_{side}", angle_rad=0.0) for way in ("abduction", "rotation_in") for side in SIDES),
        *(AngleTask(name=f"knee_flexion_{side}", angle_rad=math.radians(70)) for side in SIDES),
        AngleTask(name="trunk_flexion", angle_rad=0.0),
        DirectionTask(start="pelvis", end="neck", direction=(0.0, -math.sin(0.6), math.cos(0.6))),
        BalanceTask(shares=feet),
    ]
    configuration.set_q(solve_pose(configuration.body, tasks, standing(configuration.body)).q_ind)


def test_half_squat_knee_and_hip(configuration: Configuration) -> None:
    """Half of what is above each joint, times its lever; no forward friction, for both feet do the same."""
    squat(configuration)
    found = demand(configuration, [sole("left"), sole("right")])
    centre, level = axis(configuration, "knee_flexion_left", "knee_left")
    knee = -level * moment(configuration, centre, *ABOVE_KNEES) / 2
    hip = moment(configuration, configuration.point("hip_left"), *ABOVE_HIPS) / 2
    assert found.feasible, found.shortfalls
    assert found.moment("knee_extension_left") == pytest.approx(knee, rel=WITHIN)
    assert found.moment("hip_extension_left") == pytest.approx(hip, rel=WITHIN)


def test_arm_held_out_to_the_front(configuration: Configuration) -> None:
    configuration.set_q(upright(shoulder_flexion_left=math.pi / 2))
    found = demand(configuration, [sole("left"), sole("right")])
    lever = configuration.point("shoulder_left")[1]
    arm = [
        part for name, part in parts(configuration).items() if name in ("upper_arm left", "forearm left", "hand left")
    ]
    by_hand = G * sum(mass * (lever - centre[1]) for mass, centre in arm)
    assert found.moment("shoulder_flexion_left") == pytest.approx(by_hand, rel=WITHIN)
    one = next(one for one in found.moments if one.motion == "shoulder_flexion_left")
    assert one.strength_nm
    assert one.fraction == pytest.approx(by_hand / one.strength_nm, rel=WITHIN)


def test_dumbbell_in_the_bent_arm(configuration: Configuration) -> None:
    configuration.set_q(upright(elbow_flexion_right=math.pi / 2))
    found = demand(configuration, [sole("left"), sole("right")], [in_hand(8.0, "right")])
    elbow, lengths = configuration.point("elbow_right")[1], configuration.body.proportions
    arm = [part for name, part in parts(configuration).items() if name in ("forearm right", "hand right")]
    by_hand = G * sum(mass * (elbow - centre[1]) for mass, centre in arm)
    by_hand += 8.0 * G * (lengths.forearm_m + lengths.grip_m)
    assert found.moment("elbow_flexion_right") == pytest.approx(by_hand, rel=WITHIN)


def test_bridge_on_heels_and_shoulders(configuration: Configuration) -> None:
    """No friction, so all is given: the heels' force by moments about the shoulders, the hips' by what lies below."""
    q_ind = upright(**{f"knee_flexion_{side}": math.pi / 2 for side in SIDES})
    q_ind[3:7] = [0.5**0.5, -(0.5**0.5), 0.0, 0.0]
    tasks: list[Task] = [
        *(
            PlaneTask(point=f"{part}_{side}", normal=UP, weight=10)
            for part in ("heel", "shoulder_back")
            for side in SIDES
        ),
        *(AngleTask(name=f"knee_flexion_{side}", angle_rad=math.pi / 2) for side in SIDES),
        *(AngleTask(name=f"hip_flexion_{side}", angle_rad=0.0) for side in SIDES),
    ]
    configuration.set_q(solve_pose(configuration.body, tasks, q_ind).q_ind)
    heels = replace(contact("heels", ("heel_left", "heel_right"), Kind.FLOOR), friction=0.0)
    back = replace(contact("shoulders", ("shoulder_back_left", "shoulder_back_right"), Kind.FLOOR), friction=0.0)
    found = demand(configuration, [heels, back])
    shoulder, heel, hip = (configuration.point(f"{name}_left")[1] for name in ("shoulder_back", "heel", "hip"))
    heels_n = abs(moment(configuration, configuration.point("shoulder_back_left"), *ALL) / (heel - shoulder))
    legs = abs(moment(configuration, configuration.point("hip_left"), "thigh", "shank", "foot")) / 2
    by_hand = heels_n / 2 * abs(heel - hip) - legs
    assert abs(heel - shoulder) > 0.5
    assert found.reaction("heels").normal_n == pytest.approx(heels_n, rel=WITHIN)
    assert found.moment("hip_extension_left") == pytest.approx(by_hand, rel=WITHIN)


def test_leaning_back_on_a_wall(configuration: Configuration) -> None:
    """On the heels, the back on a smooth wall: push x height = weight x how far it is behind the heels."""
    tasks: list[Task] = [
        *SOLES,
        *LEGS_STRAIGHT,
        AngleTask(name="trunk_flexion", angle_rad=0.0),
        *(
            DirectionTask(
                start=f"{low}_left", end=f"{high}_left", direction=(0.0, math.sin(0.15), math.cos(0.15)), weight=3
            )
            for low, high in (("ankle", "hip"), ("hip", "shoulder"))
        ),
        PointTask(point="heel_left", place_m=(None, 0.0, None)),
        OffsetTask(start="heel_right", end="heel_left", along=(1.0, 0.0, 0.0), distance_m=0.2),
        OffsetTask(start="heel_right", end="heel_left", along=(0.0, 1.0, 0.0), distance_m=0.0),
    ]
    configuration.set_q(solve_pose(configuration.body, tasks, standing(configuration.body)).q_ind)
    heels = contact("heels", ("heel_left", "heel_right"), Kind.FLOOR)
    wall = replace(contact("wall", ("upper_back",), Kind.WALL, AHEAD), friction=0.0)
    found = demand(configuration, [heels, wall])
    heel = (configuration.point("heel_left") + configuration.point("heel_right")) / 2
    behind_nm = -moment(configuration, heel, *ALL)
    by_hand = behind_nm / (configuration.point("upper_back")[2] - heel[2])
    assert by_hand > 20.0, "leaning enough for the check to mean something"
    assert found.reaction("wall").normal_n == pytest.approx(by_hand, rel=WITHIN)
    assert found.reaction("heels").friction_n == pytest.approx(by_hand, rel=WITHIN)
