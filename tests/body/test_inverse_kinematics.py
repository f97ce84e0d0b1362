"""Poses are found from what they ask for; what cannot be met is said, and joints keep inside their range."""

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from everyrung.body.configuration import Configuration, integrate
from everyrung.body.coordinates import ROOT
from everyrung.body.ik_tasks import AngleTask, BalanceTask, DirectionTask, OffsetTask, PlaneTask, PointTask, Rows, Task
from everyrung.body.inverse_kinematics import solve_pose, standing
from everyrung.body.pose_search import make_place, put, put_moves, residuals, slopes, used_points

UP = (0.0, 0.0, 1.0)
AHEAD = (0.0, -1.0, 0.0)
SOLES = [
    PlaneTask(point=f"{part}_{side}", normal=UP, weight=10)
    for part in ("heel", "ball_inner", "ball_outer")
    for side in ("left", "right")
]
BOTH_FEET = (("heel_left", 1.0), ("ball_left", 1.0), ("heel_right", 1.0), ("ball_right", 1.0))
SQUAT: list[Task] = [
    *SOLES,
    *(DirectionTask(start=f"heel_{side}", end=f"ball_{side}", direction=AHEAD) for side in ("left", "right")),
    OffsetTask(start="heel_right", end="heel_left", along=(1.0, 0.0, 0.0), distance_m=0.30),
    *(AngleTask(name=f"knee_flexion_{side}", angle_rad=math.radians(90)) for side in ("left", "right")),
    BalanceTask(shares=BOTH_FEET),
]


def residuals_and_slopes(body: Any, tasks: list[Task], q_ind: Any) -> tuple[Any, Any]:
    """What is off in a pose, and how it changes with the freedoms: as the search has them."""
    rows = Rows(body)
    for task in tasks:
        rows.add(task)
    place = make_place(body.tree)
    put(body.tree, q_ind, place)
    put_moves(body.tree, place, used_points(body.tree, rows.arrays()))
    return residuals(rows.arrays(), place, q_ind), slopes(rows.arrays(), place)


@pytest.mark.parametrize(
    "task",
    [
        AngleTask(name="trunk_flexion", angle_rad=0.4),
        PlaneTask(point="grip_left", normal=(0.6, 0.0, 0.8), offset_m=0.2),
        PointTask(point="knee_right", place_m=(0.1, None, 0.4)),
        OffsetTask(start="heel_left", end="grip_right", along=UP, distance_m=0.3),
        DirectionTask(start="hip_left", end="shoulder_left", direction=(0.0, -0.6, 0.8)),
        BalanceTask(shares=BOTH_FEET),
    ],
    ids=lambda task: type(task).__name__,
)
def test_slopes_are_those_of_small_steps(task: Task, woman: Any, any_poses: Callable[..., list[Any]]) -> None:
    """Second way: central differences."""
    for q_ind in any_poses(woman, 3):
        off, jacobian = residuals_and_slopes(woman, [task], q_ind)
        for freedom in range(jacobian.shape[1]):
            step = np.zeros(jacobian.shape[1])
            step[freedom] = 1e-6
            ends = [residuals_and_slopes(woman, [task], integrate(q_ind, sign * step))[0] for sign in (1, -1)]
            assert (ends[0] - ends[1]) / 2e-6 == pytest.approx(jacobian[:, freedom], abs=2e-5)
        assert off.shape == jacobian.shape[:1]


def test_points_and_their_slopes_are_mujocos(woman: Any, any_poses: Callable[..., list[Any]]) -> None:
    """Second way: the search's own kinematics against MuJoCo's, at every landmark and the centre of mass."""
    place = make_place(woman.tree)
    for q_ind in any_poses(woman, 5):
        configuration = Configuration(woman, q_ind)
        put(woman.tree, q_ind, place)
        put_moves(woman.tree, place, np.ones(len(woman.places) + 1, dtype=bool))
        for name, point in woman.places.items():
            assert place.point_m[point] == pytest.approx(configuration.point(name), abs=1e-12)
            assert place.moves[point] == pytest.approx(configuration.point_jacobian(name), abs=1e-12)
        assert place.point_m[-1] == pytest.approx(configuration.centre_of_mass(), abs=1e-12)
        assert place.moves[-1] == pytest.approx(configuration.centre_of_mass_jacobian(), abs=1e-12)


def test_a_squat_is_found_flat_footed_balanced_and_even(woman: Any) -> None:
    found = solve_pose(woman, SQUAT, standing(woman))
    configuration = Configuration(woman, found.q_ind)
    assert found.has_converged
    assert not found.misfits
    assert (
        max(abs(configuration.point(f"{part}_{side}")[2]) for part in ("heel", "ball") for side in ("left", "right"))
        < 0.003
    )
    left, right = configuration.point("knee_left"), configuration.point("knee_right")
    assert left * [-1, 1, 1] == pytest.approx(right, abs=0.002)
    middle = sum(configuration.point(name) for name, _ in BOTH_FEET) / 4
    assert configuration.centre_of_mass()[:2] == pytest.approx(middle[:2], abs=0.005)


def test_the_hips_of_a_squat_are_where_two_bars_of_leg_put_them(woman: Any) -> None:
    """Hand geometry: ankle to hip is the third side of a triangle of shank and thigh with the knee's angle."""
    configuration = Configuration(woman, solve_pose(woman, SQUAT, standing(woman)).q_ind)
    ankle, knee, hip = (configuration.point(f"{joint}_left") for joint in ("ankle", "knee", "hip"))
    shank, thigh, third = (
        float(np.linalg.norm(one - other)) for one, other in ((ankle, knee), (knee, hip), (ankle, hip))
    )
    inner = math.pi - float(configuration.q_ind[ROOT + [c.name for c in coordinates()].index("knee_flexion_left")])
    assert third == pytest.approx(math.sqrt(shank**2 + thigh**2 - 2 * shank * thigh * math.cos(inner)), rel=0.03)


def coordinates() -> tuple[Any, ...]:
    from everyrung.body.coordinates import COORDINATES

    return COORDINATES


def test_what_cannot_be_met_is_said_with_its_amount(woman: Any) -> None:
    reach: list[Task] = [*SOLES, PointTask(point="grip_left", place_m=(0.0, 0.0, 3.0))]
    found = solve_pose(woman, reach, standing(woman))
    assert [misfit.task for misfit in found.misfits if misfit.amount > 500] == ["grip_left at its place"]
    assert str(found.misfits[-1]).endswith("mm")


def test_joints_keep_inside_their_range(woman: Any) -> None:
    tasks: list[Task] = [
        *SOLES,
        AngleTask(name="knee_flexion_left", angle_rad=-2.0),
        AngleTask(name="trunk_flexion", angle_rad=5.0),
    ]
    angles = solve_pose(woman, tasks, standing(woman)).q_ind[ROOT:]
    assert (angles >= woman.limits.low - 1e-9).all()
    assert (angles <= woman.limits.high + 1e-9).all()


def test_the_same_tasks_give_the_same_pose(woman: Any) -> None:
    one, other = (solve_pose(woman, SQUAT, standing(woman)) for _ in range(2))
    assert (one.q_ind == other.q_ind).all()


def test_every_reference_body_finds_the_squat() -> None:
    from everyrung.body.bodies import body_model
    from everyrung.body.reference_grid import reference_grid

    for size in reference_grid():
        body = body_model(size)
        found = solve_pose(body, SQUAT, standing(body))
        assert found.has_converged, size
        assert not found.misfits, (size, [str(each) for each in found.misfits])
