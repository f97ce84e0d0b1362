"""What a pose or a movement needs: generalised forces of weight, held load and acceleration."""

from collections.abc import Sequence
from dataclasses import dataclass

import mujoco
import numpy as np

from everyrung.body.configuration import Configuration
from everyrung.body.contacts import HeldLoad, Pull, reach
from everyrung.body.coordinates import ROOT, Array

GRAVITY = 9.80665  # m/s2, standard gravity, exact by definition; the same as in upstream_model.py
UPWARD = np.array([0.0, 0.0, GRAVITY])


@dataclass(frozen=True, slots=True, kw_only=True)
class Motion:
    """Velocity and acceleration of the independent coordinates (axis: freedom, as in coordinates.py; m, rad; s)."""

    velocity: Array
    acceleration: Array


def finite_difference(before: Array, here: Array, after: Array, step_s: float) -> Motion:
    """The motion of a body at `here`, from where it is `step_s` seconds before and after (axis of each: as in
    coordinates.py; m, quaternion, rad).
    """
    first, second = difference(before, here) / step_s, difference(here, after) / step_s
    return Motion(velocity=(first + second) / 2, acceleration=(second - first) / step_s)


def difference(start: Array, end: Array) -> Array:
    """The velocity (axis: freedom; m, rad) that takes one pose to another in one unit of time: the inverse of
    configuration.integrate.

    >>> from everyrung.body.configuration import freedom, upright
    >>> float(difference(upright(), upright(knee_flexion_left=0.5))[freedom("knee_flexion_left")])
    0.5
    """
    turn = np.zeros(3)
    mujoco.mju_subQuat(turn, end[3:ROOT], start[3:ROOT])
    return np.concatenate([end[:3] - start[:3], turn, end[ROOT:] - start[ROOT:]])


def inverse_dynamics(
    configuration: Configuration,
    loads: Sequence[HeldLoad] = (),
    motion: Motion | None = None,
    pulls: Sequence[Pull] = (),
) -> Array:
    """The forces, N and N m (axis: the model's own velocities), that hold or move the body and its load.

    Without motion: weight and pulls only. Times `coupling_jacobian` they are those of the independent coordinates.
    Raises Invalid for an unknown landmark.
    """
    pull_forces: Array = sum((one.forces(configuration) for one in pulls), np.zeros(configuration.body.mj_model.nv))
    return _weight(configuration, loads, motion) - pull_forces


def _weight(configuration: Configuration, loads: Sequence[HeldLoad], motion: Motion | None) -> Array:
    if motion is None:
        total = _rnea(configuration, None)
        for load in loads:
            for point in load.points:
                total += load.mass_kg / len(load.points) * UPWARD @ reach(configuration, point)
        return total
    return _moving(configuration, loads, motion)


def _moving(configuration: Configuration, loads: Sequence[HeldLoad], motion: Motion) -> Array:
    model, data = configuration.body.mj_model, configuration.data
    speed = configuration.coupling_jacobian @ motion.velocity
    acceleration = configuration.coupling_jacobian @ motion.acceleration
    acceleration += configuration.body.couplings.bending(configuration.q_ind, motion.velocity)
    data.qvel[:] = speed
    mujoco.mj_comVel(model, data)
    try:
        total = _rnea(configuration, acceleration)
        for load in loads:
            for point in load.points:
                path = reach(configuration, point)
                rate = np.zeros_like(path)
                site = configuration.body.landmarks[point]
                mujoco.mj_jacDot(model, data, rate, None, data.site_xpos[site], model.site_bodyid[site])
                pull = UPWARD + path @ acceleration + rate @ speed
                total += load.mass_kg / len(load.points) * pull @ path
    finally:
        data.qvel[:] = 0.0  # a Configuration is a body at rest
        mujoco.mj_comVel(model, data)
    return total


def _rnea(configuration: Configuration, acceleration: Array | None) -> Array:
    full = np.zeros(configuration.body.mj_model.nv)
    if acceleration is not None:
        configuration.data.qacc[:] = acceleration
    mujoco.mj_rne(configuration.body.mj_model, configuration.data, 0 if acceleration is None else 1, full)
    return full
