"""q = f(q_ind): against finite differences, MuJoCo's own equality constraints, and what a spine does."""

from collections.abc import Callable
from typing import Any
from xml.etree import ElementTree

import mujoco
import numpy as np
import pytest

from everyrung.body.configuration import Configuration, freedom, integrate, upright
from everyrung.body.coordinates import COORDINATES, ROOT, SPINE_SUFFIX, spine_share
from everyrung.body.model import body_tree

STEP = 1e-6


def test_the_jacobian_is_the_slope(woman: Any, any_poses: Callable) -> None:
    for q_ind in any_poses(woman, 5):
        g = woman.couplings.jacobian(q_ind)
        for row in range(g.shape[1]):
            step = np.zeros(g.shape[1])
            step[row] = STEP
            ahead = woman.couplings.positions(integrate(q_ind, step))
            behind = woman.couplings.positions(integrate(q_ind, -step))
            slope = np.zeros(g.shape[0])
            mujoco.mj_differentiatePos(woman.mj_model, slope, 2 * STEP, behind, ahead)
            assert np.abs(slope - g[:, row]).max() < 1e-8


def test_mujocos_own_constraints_find_nothing_to_correct(woman: Any, any_poses: Callable) -> None:
    """Source: MuJoCo's equality constraint residuals of the same tree with its constraints switched on."""
    tree, _, _ = body_tree(woman.size)
    for flag in tree.iter("flag"):
        flag.set("equality", "enable")
    model = mujoco.MjModel.from_xml_string(ElementTree.tostring(tree, encoding="unicode"))
    data = mujoco.MjData(model)
    for q_ind in any_poses(woman, 20):
        for name in ("left", "right"):  # the upstream model's polynomials hold from 0 to 120 degrees of knee flexion
            at = ROOT + freedom(f"knee_flexion_{name}") - 6
            q_ind[at] = np.clip(q_ind[at], 0.0, 2.09)
        data.qpos[:] = woman.couplings.positions(q_ind)
        mujoco.mj_forward(model, data)
        assert data.ne == model.neq == 29
        assert np.abs(data.efc_pos[: data.ne]).max() < 1e-14
    data.qpos[model.jnt_qposadr[model.joint("L4_L5_FE").id]] += 0.01
    mujoco.mj_forward(model, data)
    assert np.abs(data.efc_pos[: data.ne]).max() == pytest.approx(0.01)


@pytest.mark.parametrize(
    ("joint", "share"),
    [("flex_extension", 1.875), ("lat_bending", 1.8645), ("axial_rotation", 1.13556), ("hip_flexion_r", 1.0)],
)
def test_the_spine_adds_its_vertebrae_up(woman: Any, joint: str, share: float) -> None:
    """Source: the sums of the upstream model's own coupling coefficients, added up by hand."""
    assert spine_share(woman.mj_model, joint) == pytest.approx(share, abs=1e-5)


@pytest.mark.parametrize(
    ("coordinate", "axis"),
    [("trunk_flexion", [0, 0, -1]), ("trunk_bend_right", [1, 0, 0]), ("trunk_turn_left", [0, 1, 0])],
)
def test_a_trunk_angle_is_the_turn_of_the_chest(woman: Any, coordinate: str, axis: list[int]) -> None:
    configuration = Configuration(woman, upright(**{coordinate: 0.7}))
    turn = configuration.axes("pelvis").T @ configuration.axes("thoracic")
    angle = np.arccos((np.trace(turn) - 1) / 2)
    spun = np.array([turn[2, 1] - turn[1, 2], turn[0, 2] - turn[2, 0], turn[1, 0] - turn[0, 1]])
    assert angle == pytest.approx(0.7, abs=1e-9)
    assert spun / np.linalg.norm(spun) == pytest.approx(axis, abs=1e-9)


def test_every_joint_is_driven_once(woman: Any) -> None:
    assert sorted(woman.couplings.place) == list(range(ROOT, woman.mj_model.nq))
    assert len(COORDINATES) == 28
    assert set(SPINE_SUFFIX) < {one.joint for one in COORDINATES}


def test_past_its_range_the_knee_cap_goes_on_straight(woman: Any) -> None:
    slopes = [woman.couplings.jacobian(upright(knee_flexion_left=angle)) for angle in (2.0944, 2.3, 2.6)]
    assert np.array_equal(slopes[1], slopes[0])
    assert np.array_equal(slopes[2], slopes[0])
