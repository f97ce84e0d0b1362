"""Supports push and never pull, forces add up, movement obeys Newton, and what cannot be held is said."""

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import mujoco
import numpy as np
import pytest
from hand_loads import in_hand

from everyrung.body.bodies import pose_factors
from everyrung.body.configuration import Configuration, freedom, integrate, upright
from everyrung.body.contacts import Contact, HeldLoad, Kind, contact, sole
from everyrung.body.demand import balance, convex_hull, demand, signed_distance
from everyrung.body.ik_tasks import AngleTask, BalanceTask, DirectionTask, OffsetTask, PlaneTask, Task
from everyrung.body.inverse_dynamics import Motion, finite_difference, inverse_dynamics
from everyrung.body.inverse_kinematics import solve_pose, standing
from everyrung.body.static_optimization import build_problem, friction_cones, solve
from everyrung.terms.errors import Invalid

G = 9.80665
UP, AHEAD = (0.0, 0.0, 1.0), (0.0, -1.0, 0.0)
SIDES = ("left", "right")
SOLES: list[Task] = [
    PlaneTask(point=f"{part}_{side}", normal=UP, weight=10)
    for part in ("heel", "ball_inner", "ball_outer")
    for side in SIDES
]
FORWARD: list[Task] = [DirectionTask(start=f"heel_{side}", end=f"ball_{side}", direction=AHEAD) for side in SIDES]
FEET = [sole(side) for side in SIDES]


def squatting(body: Any) -> Configuration:
    tasks: list[Task] = [
        *SOLES,
        *FORWARD,
        OffsetTask(start="heel_right", end="heel_left", along=(1.0, 0.0, 0.0), distance_m=0.3),
        *(AngleTask(name=f"knee_flexion_{side}", angle_rad=1.2) for side in SIDES),
        DirectionTask(start="pelvis", end="neck", direction=(0.0, -0.6, 0.8)),
        BalanceTask(shares=tuple((f"{part}_{side}", 1.0) for part in ("heel", "ball") for side in SIDES)),
    ]
    return Configuration(body, solve_pose(body, tasks, standing(body)).q_ind)


def on_one_leg(body: Any) -> Configuration:
    """On the left foot, the right knee lifted a little."""
    tasks: list[Task] = [
        *(task for task in SOLES if isinstance(task, PlaneTask) and task.point.endswith("left")),
        FORWARD[0],
        AngleTask(name="knee_flexion_left", angle_rad=0.2),
        AngleTask(name="knee_flexion_right", angle_rad=1.0),
        AngleTask(name="hip_flexion_right", angle_rad=0.6),
        BalanceTask(shares=(("heel_left", 1.0), ("ball_left", 1.0)), weight=3),
    ]
    return Configuration(body, solve_pose(body, tasks, standing(body)).q_ind)


@pytest.mark.parametrize("load", [(), (in_hand(8.0, "both"),), (in_hand(4.0, "left"), in_hand(2.0, "right"))])
def test_supports_bear_body_and_load(woman: Any, load: tuple[HeldLoad, ...]) -> None:
    found = demand(squatting(woman), FEET, load)
    total = np.sum([one.force_n for one in found.reactions], axis=0)
    weight = (woman.size.mass_kg + sum(one.mass_kg for one in load)) * G
    assert found.feasible, found.shortfalls
    assert total == pytest.approx([0.0, 0.0, weight], abs=1.0)


def test_friction_keeps_within_its_cone(woman: Any, any_poses: Callable[..., list[Any]]) -> None:
    """The cone has four sides, so across its edges it reaches at most friction x normal."""
    configuration = Configuration(woman)
    for q_ind in any_poses(woman, 10):
        configuration.set_q(q_ind)
        for one in demand(configuration, FEET).reactions:
            assert one.normal_n >= -1e-6
            assert one.friction_n <= 0.6 * one.normal_n + 1e-3


def test_rays_push_out_of_the_support_and_straddle_the_normal() -> None:
    one = contact("slope", ("heel_left",), Kind.FLOOR, (0.6, 0.0, 0.8))
    directions = one.rays()
    assert directions @ [0.6, 0.0, 0.8] == pytest.approx(np.ones(5))
    assert directions[1:].mean(axis=0) == pytest.approx(directions[0])
    assert np.linalg.norm(directions[1:] - directions[0], axis=1) == pytest.approx([0.6] * 4)


def test_a_ball_at_the_wall_pushes_level(woman: Any) -> None:
    configuration = squatting(woman)
    ball = contact("ball", ("lumbar",), Kind.BALL_AT_WALL, AHEAD).taking(0.05)
    found = demand(configuration, [*FEET, ball]).reaction("ball")
    assert found.normal_n > 20
    assert found.friction_n <= 0.12 * found.normal_n + 1e-6
    assert found.force_n[1] == pytest.approx(-found.normal_n, abs=1e-9)
    smooth = demand(configuration, [*FEET, replace(ball, friction=0.0)]).reaction("ball")
    assert smooth.force_n == pytest.approx((0.0, -smooth.normal_n, 0.0), abs=1e-9)


def test_a_ball_under_the_heels_pushes_straight_up(woman: Any) -> None:
    """Lying on the back, hips up, heels on the ball: 90 degrees at the knees."""
    q_ind = upright(knee_flexion_left=1.0, knee_flexion_right=1.0, hip_flexion_left=0.3, hip_flexion_right=0.3)
    q_ind[3:7] = [0.5**0.5, -(0.5**0.5), 0.0, 0.0]
    ball = contact("ball", ("heel_back_left", "heel_back_right"), Kind.BALL_UNDER_HEEL)
    shoulders = contact("shoulders", ("shoulder_back_left", "shoulder_back_right"), Kind.FLOOR)
    found = demand(Configuration(woman, q_ind), [ball, shoulders])
    assert found.reaction("ball").normal_n > 50
    assert found.reaction("ball").friction_n == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("share", [0.45, 0.55])
def test_a_declared_share_is_met(woman: Any, share: float) -> None:
    found = demand(squatting(woman), [FEET[0].taking(share), FEET[1]])
    assert found.feasible, found.shortfalls
    assert found.shares[0].got == pytest.approx(share, abs=0.01)
    weight = woman.size.mass_kg * G
    assert found.reaction("foot left").normal_n == pytest.approx(share * weight, abs=0.01 * weight)


def test_a_share_that_would_tip_the_body_is_said(woman: Any) -> None:
    """Standing square, 80 % on one foot needs a lean. By hand: with the weight on one foot's inner and the
    other's outer edge, 104 and 196 mm from the middle, the greatest share is 196 / (104 + 196) = 0.65."""
    found = demand(squatting(woman), [FEET[0].taking(0.8), FEET[1]])
    assert not found.feasible
    assert found.shares[0].got < 0.66
    assert "share of the weight on foot left" in [one.what for one in found.shortfalls]


def test_one_leg_works_its_hip_more_with_the_load_in_the_other_hand(woman: Any) -> None:
    """Sign: Stastny 2015, J Strength Cond Res 29:3177, and PMC8628027: a load in the hand opposite the working leg
    raises the hip abductors' activity, one in the hand of the same side does not."""
    configuration = on_one_leg(woman)
    none, same, other = (
        demand(configuration, FEET[:1], load) for load in ((), (in_hand(3.0, "left"),), (in_hand(3.0, "right"),))
    )
    assert none.feasible, none.shortfalls
    abductors = [found.moment("hip_abduction_left") for found in (same, none, other)]
    assert abductors[2] > 1.1 * abductors[1]
    assert abductors[0] <= abductors[1]
    medius = [found.activation("gluteus_medius_left") for found in (same, none, other)]
    assert medius[2] > 1.1 * medius[1]
    assert medius[0] <= medius[1]


def test_a_pose_in_the_air_is_not_held(woman: Any) -> None:
    found = demand(squatting(woman), [])
    assert not found.feasible
    up = next(one for one in found.shortfalls if one.what == "a push up or down")
    assert up.amount == pytest.approx(woman.size.mass_kg * G, rel=0.01)
    assert str(up) == "a push up or down: off by 608 N"
    assert found.balance is None


def test_a_load_beyond_the_arm_is_not_held_and_the_joint_is_named(woman: Any) -> None:
    configuration = Configuration(woman, standing(woman))
    configuration.set_q(
        integrate(configuration.q_ind, upright(shoulder_flexion_left=math.pi / 2)[1:] * ([0] * 6 + [1] * 28))
    )
    found = demand(configuration, FEET, [in_hand(25.0, "left")])
    assert not found.feasible
    assert "shoulder flexion left" in [one.what for one in found.shortfalls]


def test_nobody_works_more_than_wholly(woman: Any) -> None:
    """Far too much on the shoulders: the knees' extensors give all they have, and no group more than that."""
    found = demand(squatting(woman), FEET, [HeldLoad(mass_kg=150.0, points=("upper_back",))])
    assert not found.feasible
    assert all(0.0 <= one.activation <= 1.0 for one in found.efforts)
    assert found.activation("vasti_left") == pytest.approx(1.0, abs=1e-4)


def test_pulls_are_slopes_of_the_paths_times_force(woman: Any, any_poses: Callable[..., list[Any]]) -> None:
    """Second way, virtual work: a muscle's moment = - force x d(length)/d(angle), by central differences."""
    configuration, step = Configuration(woman), np.zeros(34)
    step[freedom("hip_flexion_left")] = 1e-5
    for q_ind in any_poses(woman, 3):
        ends = []
        for sign in (-1, 1):
            configuration.set_q(integrate(q_ind, sign * step))
            ends.append(configuration.muscle_lengths())
        configuration.set_q(q_ind)
        force = woman.muscles.active_force(configuration.muscle_lengths())
        force = force * pose_factors(woman, configuration.moment_arms(), force, q_ind)
        asked = build_problem(configuration, FEET, friction_cones(configuration, FEET), np.zeros(34), 600.0)
        pulls = asked.rows()[freedom("hip_flexion_left"), : len(force)]
        assert pulls == pytest.approx(-force * (ends[1] - ends[0]) / 2e-5, abs=0.05)


def test_a_joint_leant_on_its_end_strains_no_muscle(woman: Any) -> None:
    """Ankles bent to their end: tissue and calf share it at next to no effort, the shin does not strain against it."""
    tasks: list[Task] = [
        *SOLES,
        *FORWARD,
        *(AngleTask(name=f"ankle_dorsiflexion_{side}", angle_rad=0.9) for side in SIDES),
        *(AngleTask(name=f"knee_flexion_{side}", angle_rad=1.5) for side in SIDES),
        BalanceTask(shares=tuple((f"{part}_{side}", 1.0) for part in ("heel", "ball") for side in SIDES)),
    ]
    configuration = Configuration(woman, solve_pose(woman, tasks, standing(woman)).q_ind)
    found = demand(configuration, FEET)
    one = next(one for one in found.moments if one.motion == "ankle_plantarflexion_left")
    stop_nm = -woman.limits.moments(configuration.q_ind)[freedom("ankle_dorsiflexion_left")]
    assert stop_nm > 1.5 * one.moment_nm, "the whole of the stop would be too much"
    assert 0.3 * one.moment_nm < one.passive_nm < one.moment_nm, "a strong calf takes a share, for its effort is small"
    assert found.activation("soleus_left") < 0.2
    assert found.activation("shin_left") < 0.05


def test_a_group_works_as_its_muscles_do_each_counted_by_the_force_it_can_make(woman: Any, monkeypatch: Any) -> None:
    monkeypatch.setattr("everyrung.body.antagonists.SHARE", 0.0)
    configuration = Configuration(woman, squatting(woman).q_ind)
    found = demand(configuration, FEET)
    muscles, stretched = woman.muscles, configuration.stretched_load()
    weight_n = float(woman.mj_model.body_mass.sum()) * G
    needed = inverse_dynamics(configuration) @ configuration.coupling_jacobian - stretched
    each = solve(build_problem(configuration, FEET, friction_cones(configuration, FEET), needed, weight_n)).x
    names = np.array(muscles.groups)
    for group in ("gluteus_maximus_right", "vasti_right", "adductors_left"):
        mine = np.flatnonzero(names == group)
        force, part = muscles.force_n[mine], each[: len(names)][mine]
        assert found.activation(group) == pytest.approx(float(np.average(part, weights=force)), abs=1e-5)
        assert len(mine) == 1 or np.ptp(force) > 0


@pytest.mark.parametrize(("share", "short"), [(0.40, False), (0.65, True), (0.95, True)])
def test_a_share_of_the_weight_that_is_missed_by_more_than_a_twentieth_is_said(
    woman: Any, share: float, short: bool
) -> None:
    # standing on both feet, the centre of mass between them: one can take 40 % of it, but not 65 (0.07 too much) or 95
    configuration = Configuration(woman, squatting(woman).q_ind)
    found = demand(configuration, [FEET[0].taking(share), FEET[1]])
    off = abs(found.shares[0].got - share)
    assert (off > 0.05) is short
    assert [each.amount for each in found.shortfalls if "share" in each.what] == (
        [pytest.approx(100 * off)] if short else []
    )


def trajectory(rng: Any, count: int) -> tuple[Any, Any]:
    return rng.normal(size=count), rng.normal(size=count)


def test_moving_weights_obey_newton(woman: Any, any_poses: Callable[..., list[Any]]) -> None:
    """Force on the whole = mass x (acceleration of the centre of mass + g), by central differences of places."""
    configuration, rng, h = Configuration(woman), np.random.default_rng(5), 1e-4
    load = in_hand(7.0, "right")
    for q_ind in any_poses(woman, 5):
        velocity, acceleration = trajectory(rng, 34)
        centres = []
        for t in (-h, 0.0, h):
            configuration.set_q(integrate(q_ind, velocity * t + acceleration * t**2 / 2))
            body = woman.size.mass_kg * configuration.centre_of_mass() + load.mass_kg * configuration.point(
                "grip_right"
            )
            centres.append(body)
        configuration.set_q(q_ind)
        force = inverse_dynamics(configuration, [load], Motion(velocity=velocity, acceleration=acceleration))[:3]
        by_places = (centres[0] - 2 * centres[1] + centres[2]) / h**2 + [0.0, 0.0, (woman.size.mass_kg + 7.0) * G]
        assert force == pytest.approx(by_places, abs=0.02)


def test_power_is_what_energy_gains(woman: Any, any_poses: Callable[..., list[Any]]) -> None:
    """Forces times velocities = d/dt (kinetic + potential energy), by central differences; mass matrix by MuJoCo."""
    configuration, rng, h = Configuration(woman), np.random.default_rng(6), 1e-5
    load = in_hand(7.0, "left")

    def energy(q_ind: Any, velocity: Any) -> float:
        configuration.set_q(q_ind)
        model, data = woman.mj_model, configuration.data
        mujoco.mj_makeM(model, data)
        mass = np.zeros((model.nv, model.nv))
        mujoco.mj_fullM(model, data, mass)
        full, grip = configuration.coupling_jacobian @ velocity, configuration.point_jacobian("grip_left") @ velocity
        height = (
            woman.size.mass_kg * configuration.centre_of_mass()[2] + load.mass_kg * configuration.point("grip_left")[2]
        )
        return float((full @ mass @ full + load.mass_kg * grip @ grip) / 2 + G * height)

    for q_ind in any_poses(woman, 5):
        velocity, acceleration = trajectory(rng, 34)
        ends = [
            energy(integrate(q_ind, velocity * t + acceleration * t**2 / 2), velocity + acceleration * t)
            for t in (-h, h)
        ]
        configuration.set_q(q_ind)
        force = (
            inverse_dynamics(configuration, [load], Motion(velocity=velocity, acceleration=acceleration))
            @ configuration.coupling_jacobian
        )
        assert force @ velocity == pytest.approx((ends[1] - ends[0]) / (2 * h), rel=1e-4, abs=0.05)


def test_motion_out_of_three_poses(woman: Any, any_poses: Callable[..., list[Any]]) -> None:
    """Poses laid along a known velocity and acceleration give them back."""
    rng, step_s = np.random.default_rng(7), 1e-3
    for q_ind in any_poses(woman, 3):
        velocity, acceleration = trajectory(rng, 34)
        before, after = (integrate(q_ind, velocity * t + acceleration * t**2 / 2) for t in (-step_s, step_s))
        found = finite_difference(before, q_ind, after, step_s)
        assert found.velocity == pytest.approx(velocity, abs=1e-6)
        assert found.acceleration == pytest.approx(acceleration, abs=1e-6)


def test_a_faster_turn_at_the_bottom_of_a_squat_asks_more_of_the_hips(woman: Any) -> None:
    """Rising from the bottom speeds the body upwards: every support and the extensors push more, by m x a in all."""
    configuration = squatting(woman)
    turning = np.zeros(34)
    turning[2] = 2.0
    quick = Motion(velocity=np.zeros(34), acceleration=turning)
    still, moving = demand(configuration, FEET), demand(configuration, FEET, (), quick)
    up = [sum(one.force_n[2] for one in found.reactions) for found in (still, moving)]
    assert up[1] - up[0] == pytest.approx(woman.size.mass_kg * 2.0, abs=1.0)
    assert moving.moment("hip_extension_left") > 1.1 * still.moment("hip_extension_left")
    assert moving.moment("knee_extension_left") > 1.1 * still.moment("knee_extension_left")


def test_a_body_that_moved_is_at_rest_again(woman: Any) -> None:
    configuration = squatting(woman)
    still = inverse_dynamics(configuration)
    inverse_dynamics(configuration, (), Motion(velocity=np.ones(34), acceleration=np.ones(34)))
    assert (inverse_dynamics(configuration) == still).all()
    assert inverse_dynamics(
        configuration, (), Motion(velocity=np.zeros(34), acceleration=np.zeros(34))
    ) == pytest.approx(still)


def test_trunk_moment_of_a_lean(man: Any) -> None:
    """Weights above the lowest lumbar joint times lever, plus the load's; the spine straight and square."""
    configuration = squatting(man)
    model = man.mj_model
    joint = configuration.data.xpos[model.body("lumbar5").id]
    above = [row for row in range(model.nbody) if _hangs_on(model, row, model.body("lumbar5").id)]
    mass, places = model.body_mass[above], configuration.data.xipos[above]
    by_hand = G * mass @ (joint[1] - places[:, 1]) + 10 * G * (joint[1] - configuration.point("grip_left")[1])
    found = demand(configuration, FEET, [in_hand(10.0, "both")])
    assert found.trunk.extension_nm == pytest.approx(by_hand, rel=0.04)
    assert abs(found.trunk.turn_left_nm) < 1e-6


def test_a_load_at_one_side_bends_the_trunk_to_the_other(man: Any) -> None:
    configuration = Configuration(man, standing(man))
    aside = configuration.point("grip_left")[0] - configuration.data.xpos[man.mj_model.body("lumbar5").id][0]
    none, left = (demand(configuration, FEET, load).trunk for load in ((), (in_hand(10.0, "left"),)))
    assert aside > 0.1, "the participant's left is +x"
    assert left.bend_right_nm - none.bend_right_nm == pytest.approx(10 * G * aside, rel=0.01)
    assert left.turn_left_nm == pytest.approx(none.turn_left_nm, abs=1e-6)


def _hangs_on(model: Any, body: int, other: int) -> bool:
    while body:
        if body == other:
            return True
        body = int(model.body_parentid[body])
    return False


def test_margins_to_the_edge_by_hand() -> None:
    square = convex_hull(np.array([[0, 0], [2, 0], [2, 1], [0, 1], [1, 0.5], [1, 0]], dtype=float))
    assert len(square) == 4
    assert signed_distance(np.array([1.0, 0.4]), square) == pytest.approx(0.4)
    assert signed_distance(np.array([3.0, 2.0]), square) == pytest.approx(-math.sqrt(2))
    line = convex_hull(np.array([[0, 0], [2, 0]], dtype=float))
    assert signed_distance(np.array([1.0, 0.3]), line) == pytest.approx(-0.3)
    assert signed_distance(np.array([1.0, 0.3]), convex_hull(np.array([[1.0, 0.0]]))) == pytest.approx(-0.3)


def test_moving_forward_eats_the_margin(woman: Any) -> None:
    """Hof 2005, J Biomech 38:1, from memory: v / sqrt(g / l) ahead; the edge before a stance is a straight line."""
    configuration = Configuration(woman, squatting(woman).q_ind)
    velocity = np.zeros(34)
    still = balance(configuration, FEET, (), velocity)
    velocity[1] = -0.5
    moving = balance(configuration, FEET, (), velocity)
    assert still
    assert moving
    front = configuration.centre_of_mass()[1] - min(configuration.point(f"ball_inner_{side}")[1] for side in SIDES)
    floor = min(configuration.point(point)[2] for one in FEET for point in one.points)
    ahead = 0.5 * math.sqrt((configuration.centre_of_mass()[2] - floor) / G)
    assert moving.still_m == still.still_m == pytest.approx(still.moving_m)
    assert moving.moving_m == pytest.approx(front - ahead, abs=0.01)


def test_what_cannot_be_is_refused(woman: Any) -> None:
    with pytest.raises(Invalid, match="length 1"):
        contact("floor", ("heel_left",), Kind.FLOOR, (0.0, 0.0, 2.0))
    with pytest.raises(Invalid, match="landmark"):
        contact("floor", (), Kind.FLOOR)
    with pytest.raises(Invalid, match="0 or more"):
        Contact(name="ice", points=("heel_left",), kind=Kind.FLOOR, normal=UP, friction=-0.1)
    with pytest.raises(Invalid, match="kg"):
        in_hand(-1.0, "left")
    with pytest.raises(Invalid, match="heel_left"):
        friction_cones(Configuration(woman), [contact("floor", ("heal_left",), Kind.FLOOR)])
