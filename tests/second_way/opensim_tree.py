"""The body as OpenSim has it: the same segments on the same joints, its pelvis fixed where a pose has it."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import mujoco
import numpy as np
from scipy.spatial.transform import Rotation

from everyrung.body.configuration import Configuration
from everyrung.body.inverse_dynamics import GRAVITY

SPECK_KG = 1e-9  # OpenSim lets no tree end without mass; chosen, because it weighs nothing beside a body


@dataclass(frozen=True, slots=True, kw_only=True)
class PointForce:
    """A force, N (axis: xyz of the world), on a landmark."""

    landmark: str
    force_n: Any


def joint_forces(osim: Any, configuration: Configuration, forces: Sequence[PointForce]) -> Any:
    """What the joints must do to hold the pose against gravity and these forces, by OpenSim's inverse dynamics, N m and
    N (axis: the compiled model's own velocities; 0 for the six of the pelvis).
    """
    model, _ = tree(osim, configuration, forces)
    state = posed(model, configuration)
    places = _places(model, state)
    solved = osim.InverseDynamicsSolver(model).solve(state, osim.Vector(len(places), 0.0))
    compiled = configuration.body.mj_model
    found = np.zeros(compiled.nv)
    for name, place in places.items():
        found[compiled.joint(name).dofadr[0]] = solved[place]
    return found


def tree(osim: Any, configuration: Configuration, forces: Sequence[PointForce]) -> tuple[Any, dict[int, Any]]:
    """The model, and its segment for each body of ours."""
    compiled, data = configuration.body.mj_model, configuration.data
    model = osim.Model()
    model.setGravity(osim.Vec3(0, 0, -GRAVITY))
    last = {0: model.getGround()}
    for body in range(1, compiled.nbody):
        last[body] = _hang(osim, model, compiled, data, body, last[compiled.body_parentid[body]])
    for number, one in enumerate(forces):
        site = configuration.body.landmarks[one.landmark]
        _press(osim, model, f"force_{number}", last[compiled.site_bodyid[site]], compiled.site_pos[site], one.force_n)
    return model, last


def posed(model: Any, configuration: Configuration) -> Any:
    """The model's state in the pose of `configuration`."""
    state = model.initSystem()
    coordinates = model.updCoordinateSet()
    for name in names_of(model):
        place = configuration.body.mj_model.joint(name).qposadr[0]
        coordinates.get(name).setValue(state, float(configuration.data.qpos[place]), False)
    return state


def names_of(model: Any) -> list[str]:
    """Its coordinates, named as our joints."""
    coordinates = model.getCoordinateSet()
    return [coordinates.get(row).getName() for row in range(coordinates.getSize())]


def _places(model: Any, state: Any) -> dict[str, int]:
    """OpenSim orders speeds as its own tree does: each coordinate's place is seen from a speed of its own."""
    names, coordinates = names_of(model), model.updCoordinateSet()
    for number, name in enumerate(names):
        coordinates.get(name).setSpeedValue(state, number + 1.0)
    found = {names[round(state.getU()[row]) - 1]: row for row in range(len(names))}
    for name in names:
        coordinates.get(name).setSpeedValue(state, 0.0)
    return found


def _hang(osim: Any, model: Any, compiled: Any, data: Any, body: int, parent: Any) -> Any:
    """One segment on its joints; between two joints at one place stands a speck."""
    rows = range(compiled.body_jntadr[body], compiled.body_jntadr[body] + compiled.body_jntnum[body])
    segment = _segment(osim, compiled, body)
    turn, at = Rotation.from_quat(compiled.body_quat[body], scalar_first=True), compiled.body_pos[body]
    hinges = [row for row in rows if compiled.jnt_type[row] != mujoco.mjtJoint.mjJNT_FREE]
    if len(hinges) < len(rows):
        turn, at = Rotation.from_quat(data.xquat[body], scalar_first=True), data.xpos[body]
    if not hinges:
        model.addBody(segment)
        still = vector(osim, np.zeros(3))
        weld = osim.WeldJoint(
            f"weld_{body}", parent, vector(osim, at), _angles(osim, turn), segment, still, vector(osim, np.zeros(3))
        )
        model.addJoint(weld)
        return segment
    for row in hinges:
        assert not compiled.jnt_pos[row].any()
        here = (
            segment
            if row == hinges[-1]
            else osim.Body(f"between_{row}", SPECK_KG, osim.Vec3(0), osim.Inertia(SPECK_KG))
        )
        model.addBody(here)
        is_slide = compiled.jnt_type[row] == mujoco.mjtJoint.mjJNT_SLIDE
        kind, own = (osim.SliderJoint, np.eye(3)[0]) if is_slide else (osim.PinJoint, np.eye(3)[2])
        to_axis, _ = Rotation.align_vectors(compiled.jnt_axis[row], own)
        name = compiled.joint(row).name
        made = kind(
            f"joint_{row}", parent, vector(osim, at), _angles(osim, turn * to_axis),
            here, vector(osim, np.zeros(3)), _angles(osim, to_axis),
        )  # fmt: skip
        made.updCoordinate().setName(name)
        model.addJoint(made)
        parent, turn, at = here, Rotation.identity(), np.zeros(3)
    return segment


def _segment(osim: Any, compiled: Any, body: int) -> Any:
    turned = Rotation.from_quat(compiled.body_iquat[body], scalar_first=True).as_matrix()
    about = turned @ np.diag(compiled.body_inertia[body]) @ turned.T
    moments = (about[0, 0], about[1, 1], about[2, 2], about[0, 1], about[0, 2], about[1, 2])
    inertia = osim.Inertia(*(float(each) for each in moments)) if about.any() else osim.Inertia(SPECK_KG)
    mass_kg, centre = float(compiled.body_mass[body]) or SPECK_KG, vector(osim, compiled.body_ipos[body])
    return osim.Body(f"segment_{body}", mass_kg, centre, inertia)


def _press(osim: Any, model: Any, name: str, segment: Any, at: Any, force: Any) -> None:
    made = osim.PrescribedForce(name, segment)
    made.setPointFunctions(*(osim.Constant(float(each)) for each in at))
    made.setForceFunctions(*(osim.Constant(float(each)) for each in force))
    made.setForceIsInGlobalFrame(True)
    made.setPointIsInGlobalFrame(False)
    model.addForce(made)


def vector(osim: Any, numbers: Any) -> Any:
    return osim.Vec3(*(float(each) for each in numbers))


def _angles(osim: Any, turn: Rotation) -> Any:
    """Body-fixed about x, y and z, as OpenSim has them, and by its own way to them."""
    return osim.Rotation(osim.Mat33(*turn.as_matrix().ravel().tolist())).convertRotationToBodyFixedXYZ()
