"""Gravity and mass matrix of the body from a second library: Pinocchio, fed the same bodies and joints by code."""

from collections.abc import Callable
from typing import Any

import mujoco
import numpy as np
import pinocchio as pin
import pytest

from everyrung.body.configuration import Configuration


def rotation(quaternion: Any) -> Any:
    w, x, y, z = quaternion
    return pin.Quaternion(w, x, y, z).toRotationMatrix()


def pinocchio_model(model: Any) -> Any:
    """The tree of a compiled MuJoCo model: a free joint, then one joint a hinge or slide, bodies hung on the last."""
    built = pin.Model()
    built.gravity.linear = np.array(model.opt.gravity)
    hung = {0: (0, pin.SE3.Identity())}  # MuJoCo body -> (Pinocchio joint, placement on it)
    for body in range(1, model.nbody):
        joint, on = hung[model.body_parentid[body]]
        at = on * pin.SE3(rotation(model.body_quat[body]), model.body_pos[body].copy())
        for row in range(model.body_jntadr[body], model.body_jntadr[body] + model.body_jntnum[body]):
            assert not model.jnt_pos[row].any()
            joint = built.addJoint(joint, kind_of(model, row), at, model.joint(row).name)
            at = pin.SE3.Identity()
        hung[body] = (joint, at)
        turned = rotation(model.body_iquat[body])
        about_centre = turned @ np.diag(model.body_inertia[body]) @ turned.T
        inertia = pin.Inertia(float(model.body_mass[body]), model.body_ipos[body].copy(), about_centre)
        built.appendBodyToJoint(joint, inertia, at)
    return built


def kind_of(model: Any, row: int) -> Any:
    kinds = mujoco.mjtJoint
    if model.jnt_type[row] == kinds.mjJNT_FREE:
        return pin.JointModelFreeFlyer()
    axis = model.jnt_axis[row].copy()
    return (
        pin.JointModelPrismaticUnaligned(axis)
        if model.jnt_type[row] == kinds.mjJNT_SLIDE
        else (pin.JointModelRevoluteUnaligned(axis))
    )


def pinocchio_q(q: Any) -> Any:
    """MuJoCo's quaternion has its real part first, Pinocchio's last."""
    return np.concatenate([q[:3], q[4:7], q[3:4], q[7:]])


def to_world(q: Any, size: int) -> Any:
    """MuJoCo's free velocity is in world axes where Pinocchio's is in the body's; the turning part is the same."""
    change = np.eye(size)
    change[:3, :3] = rotation(q[3:7])
    return change


@pytest.mark.parametrize("who", ["woman", "man"])
def test_gravity_agrees(who: str, request: pytest.FixtureRequest, any_poses: Callable) -> None:
    body = request.getfixturevalue(who)
    built = pinocchio_model(body.mj_model)
    assert pin.computeTotalMass(built) == pytest.approx(body.size.mass_kg, rel=1e-12)
    data, configuration = built.createData(), Configuration(body)
    for q_ind in any_poses(body, 20):
        configuration.set_q(q_ind)
        q = body.couplings.positions(q_ind)
        theirs = to_world(q, built.nv) @ pin.computeGeneralizedGravity(built, data, pinocchio_q(q))
        theirs = theirs @ body.couplings.jacobian(q_ind)
        ours = configuration.gravity_load()
        assert np.abs(ours - theirs).max() <= 1e-9 * np.abs(theirs).max()


def test_the_mass_matrix_agrees(man: Any, any_poses: Callable) -> None:
    """Inertias too, though statics does not need them: MuJoCo's composite-body matrix against Pinocchio's."""
    built = pinocchio_model(man.mj_model)
    data, configuration = built.createData(), Configuration(man)
    for q_ind in any_poses(man, 5):
        configuration.set_q(q_ind)
        mujoco.mj_makeM(man.mj_model, configuration.data)
        ours = np.zeros((man.mj_model.nv, man.mj_model.nv))
        mujoco.mj_fullM(man.mj_model, configuration.data, ours)
        q = man.couplings.positions(q_ind)
        theirs = pin.crba(built, data, pinocchio_q(q))
        theirs = np.triu(theirs) + np.triu(theirs, 1).T
        change = to_world(q, built.nv)
        assert np.abs(ours - change @ theirs @ change.T).max() < 1e-9 * np.abs(ours).max()


def test_points_agree(man: Any, any_poses: Callable) -> None:
    built = pinocchio_model(man.mj_model)
    data, configuration = built.createData(), Configuration(man)
    for q_ind in any_poses(man, 5):
        configuration.set_q(q_ind)
        pin.forwardKinematics(built, data, pinocchio_q(man.couplings.positions(q_ind)))
        elbow = data.oMi[built.getJointId("forearm_pronation_left")].translation
        assert configuration.point("elbow_left") == pytest.approx(elbow, abs=1e-12)
