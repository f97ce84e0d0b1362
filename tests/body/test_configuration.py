"""Points, Jacobians, gravity and moment arms of a posed body."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from everyrung.body.configuration import Configuration, freedom, integrate, upright
from everyrung.body.coordinates import ROOT

STEP = 1e-6


def slope(configuration: Configuration, q_ind: Any, ask: Callable[[], Any]) -> Any:
    """What `ask` answers, by independent velocities: central differences."""
    columns = []
    for row in range(len(q_ind) - 1):
        step = np.zeros(len(q_ind) - 1)
        step[row] = STEP
        configuration.set_q(integrate(q_ind, step))
        ahead = ask()
        configuration.set_q(integrate(q_ind, -step))
        columns.append((ahead - ask()) / (2 * STEP))
    configuration.set_q(q_ind)
    return np.array(columns).T


def test_jacobians_are_slopes(man: Any, any_poses: Callable) -> None:
    configuration = Configuration(man)
    for q_ind in any_poses(man, 3):
        configuration.set_q(q_ind)
        for name in ("toe_left", "grip_right", "head_top", "knee_front_left"):
            assert (
                np.abs(
                    configuration.point_jacobian(name)
                    - slope(configuration, q_ind, lambda at=name: configuration.point(at))
                ).max()
                < 1e-8
            )
        assert (
            np.abs(
                configuration.centre_of_mass_jacobian() - slope(configuration, q_ind, configuration.centre_of_mass)
            ).max()
            < 1e-8
        )
        assert (
            np.abs(configuration.moment_arms().T + slope(configuration, q_ind, configuration.muscle_lengths)).max()
            < 1e-6
        )


def test_turning_is_the_slope_of_the_axes(man: Any, any_poses: Callable) -> None:
    configuration = Configuration(man)
    q_ind = any_poses(man, 1)[0]
    configuration.set_q(q_ind)
    turn, axes = configuration.turn_jacobian("grip_left"), configuration.axes("grip_left")
    change = slope(configuration, q_ind, lambda: configuration.axes("grip_left")[:, 0])
    assert np.abs(np.cross(turn.T, axes[:, 0]).T - change).max() < 1e-8


def test_gravity_load_is_weight_lifted(man: Any, any_poses: Callable) -> None:
    """Virtual work: the load on each coordinate is m g times the rise of the centre of mass."""
    configuration = Configuration(man)
    for q_ind in any_poses(man, 10):
        configuration.set_q(q_ind)
        rise = configuration.centre_of_mass_jacobian()[2]
        assert configuration.gravity_load() == pytest.approx(man.size.mass_kg * 9.80665 * rise, abs=1e-9)


def test_place_and_turn_change_no_inner_load_but_gravitys(man: Any, any_poses: Callable) -> None:
    q_ind = any_poses(man, 1)[0]
    stood = q_ind.copy()
    stood[:3], stood[3:ROOT] = 0, [1, 0, 0, 0]
    here, there = Configuration(man, q_ind), Configuration(man, stood)
    assert here.muscle_lengths() == pytest.approx(there.muscle_lengths(), abs=1e-12)
    assert here.passive_load() == pytest.approx(there.passive_load(), abs=1e-8)


SIGNS = [  # positive angle, point, what it does: forward, left, up
    ("trunk_flexion", "head_top", (1, 0, -1)),
    ("trunk_bend_right", "head_top", (0, -1, -1)),
    ("trunk_turn_left", "chest_front", (-1, 1, 0)),
    ("neck_flexion", "head_top", (1, 0, -1)),
    ("hip_flexion_left", "knee_left", (1, 0, 1)),
    ("hip_abduction_left", "ankle_left", (0, 1, 1)),
    ("hip_abduction_right", "ankle_right", (0, -1, 1)),
    ("hip_rotation_in_left", "toe_left", (-1, -1, 0)),
    ("hip_rotation_in_right", "toe_right", (-1, 1, 0)),
    ("knee_flexion_right", "ankle_right", (-1, 0, 1)),
    ("ankle_dorsiflexion_left", "toe_left", (0, 0, 1)),
    ("foot_inversion_left", "ball_inner_left", (0, 0, 1)),
    ("foot_inversion_right", "ball_inner_right", (0, 0, 1)),
    ("toe_extension_right", "toe_right", (0, 0, 1)),
    ("shoulder_flexion_left", "elbow_left", (1, 0, 1)),
    ("shoulder_abduction_left", "elbow_left", (0, 1, 1)),
    ("shoulder_abduction_right", "elbow_right", (0, -1, 1)),
    ("elbow_flexion_right", "wrist_right", (1, 0, 1)),
]


@pytest.mark.parametrize(("coordinate", "point", "way"), SIGNS, ids=[sign[0] for sign in SIGNS])
def test_the_name_says_which_way_is_positive(woman: Any, coordinate: str, point: str, way: tuple[int, ...]) -> None:
    configuration = Configuration(woman)
    before = configuration.point(point)
    configuration.set_q(upright(**{coordinate: 0.4}))
    right_to_left, back, up = configuration.point(point) - before
    for moved_m, sign in zip((-back, right_to_left, up), way, strict=True):
        assert moved_m * sign > 0.003 if sign else abs(moved_m) < 0.06


def test_turning_in_and_pronating_bring_the_thumb_side_inward(woman: Any) -> None:
    """With the elbow bent the hand goes to the belly; a forearm held forward turns its palm down."""
    for side, left in (("left", 1), ("right", -1)):
        bent = {f"elbow_flexion_{side}": np.pi / 2}
        configuration = Configuration(woman, upright(**bent))
        before = configuration.point(f"wrist_{side}")
        configuration.set_q(upright(**bent, **{f"shoulder_rotation_in_{side}": 0.4}))
        assert (configuration.point(f"wrist_{side}") - before)[0] * left < -0.05
        configuration.set_q(upright(**bent, **{f"forearm_pronation_{side}": np.pi / 2}))
        palm = configuration.point(f"palm_{side}") - configuration.point(f"wrist_{side}")
        assert palm[2] < -0.015


def test_freedom_names_the_row(woman: Any) -> None:
    configuration = Configuration(woman, upright(knee_flexion_left=0.5))
    assert woman.couplings.jacobian(configuration.q_ind)[:, freedom("knee_flexion_left")].any()
    assert freedom("trunk_flexion") == 6
