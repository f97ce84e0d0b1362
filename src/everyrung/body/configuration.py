"""A body in a pose: where its points are, what gravity asks of its joints, how its muscles pull.

Only kinematics is computed; nothing is simulated and no constraint is solved. Every Jacobian and force is in the
independent coordinates (coordinates.py): velocities of the pelvis, then of the angles in COORDINATES.
"""

from functools import cache

import mujoco
import numpy as np

from everyrung.body.coordinates import COORDINATES, ROOT, ROOT_FREEDOMS, Array, coordinate_names
from everyrung.body.model import BodyModel


def upright(**angles: float) -> Array:
    """Coordinates (one axis, laid out as in coordinates.py: m, quaternion, rad) of a body standing at the origin,
    pelvis untilted, with these angles in rad and all others zero. Raises ValueError for a name that no coordinate has.

    >>> bent = upright(knee_flexion_left=0.5)
    >>> len(bent), bent[:7].tolist(), float(bent.sum())
    (35, [0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0], 1.5)
    """
    q_ind = np.zeros(ROOT + len(COORDINATES))
    q_ind[3] = 1.0
    names = coordinate_names()
    for name, value in angles.items():
        q_ind[ROOT + names.index(name)] = value
    return q_ind


@cache
def freedom(name: str) -> int:
    """The row of coordinate `name` in velocities, Jacobians and generalised forces. Raises ValueError for an unknown
    one.

    >>> freedom("trunk_flexion"), freedom("knee_flexion_left")
    (6, 16)
    """
    return ROOT_FREEDOMS + coordinate_names().index(name)


def integrate(q_ind: Array, velocity: Array) -> Array:
    """The coordinates after a step (axis: as in coordinates.py; m, quaternion, rad): `velocity` (axis: freedom; m, rad)
    is per unit of time, and lasts for one.

    >>> step = np.zeros(6 + len(COORDINATES))
    >>> step[2], step[6] = 0.1, 0.2
    >>> after = integrate(upright(), step)
    >>> float(after[2]), float(after[7])
    (0.1, 0.2)
    """
    after = q_ind.copy()
    after[:3] += velocity[:3]
    mujoco.mju_quatIntegrate(after[3:ROOT], velocity[3:ROOT_FREEDOMS], 1.0)
    after[3:ROOT] /= np.linalg.norm(after[3:ROOT])
    after[ROOT:] += velocity[ROOT_FREEDOMS:]
    return after


class Configuration:
    """Scratch space for one body: set a pose with `set_q`, then ask. Not to be shared between threads.

    Arrays: `q_ind` and its velocities as in coordinates.py; xyz: world axes, the participant's left, back, up.
    """

    def __init__(self, body: BodyModel, q_ind: Array | None = None) -> None:
        self.body = body
        self.data = mujoco.MjData(body.mj_model)
        self.set_q(upright() if q_ind is None else q_ind)

    def set_q(self, q_ind: Array) -> None:
        """Take the pose `q_ind` (one axis, laid out as in coordinates.py: m, quaternion, rad)."""
        model, data = self.body.mj_model, self.data
        self.q_ind = q_ind
        data.qpos[:] = self.body.couplings.positions(q_ind)
        self.coupling_jacobian = self.body.couplings.jacobian(q_ind)
        mujoco.mj_kinematics(model, data)
        mujoco.mj_comPos(model, data)
        self._arms: Array | None = None
        self._ends: Array | None = None

    def point(self, name: str) -> Array:
        """Where the landmark is, m (axis: xyz); z is up, an unturned body faces -y. Raises KeyError for an unknown
        name.
        """
        return np.array(self.data.site_xpos[self.body.landmarks[name]])

    def point_jacobian(self, name: str) -> Array:
        """How the landmark moves with the independent velocities, m per m or rad (axes: xyz, freedom). Raises KeyError
        for an unknown name.
        """
        full = np.zeros((3, self.body.mj_model.nv))
        mujoco.mj_jacSite(self.body.mj_model, self.data, full, None, self.body.landmarks[name])
        return full @ self.coupling_jacobian

    def axes(self, name: str) -> Array:
        """The directions of the landmark's bone, unit vectors (axes: xyz; forward, up, right when standing neutral)."""
        return np.array(self.data.site_xmat[self.body.landmarks[name]]).reshape(3, 3)

    def turn_jacobian(self, name: str) -> Array:
        """Angular velocity of the landmark's bone in world axes, rad/s, by independent velocities (axes: xyz, freedom).
        Raises KeyError for an unknown name.
        """
        full = np.zeros((3, self.body.mj_model.nv))
        mujoco.mj_jacSite(self.body.mj_model, self.data, None, full, self.body.landmarks[name])
        return full @ self.coupling_jacobian

    def centre_of_mass(self) -> Array:
        """Where the whole body's mass is in the mean, m (axis: xyz); what it holds does not count."""
        return np.array(self.data.subtree_com[0])

    def centre_of_mass_jacobian(self) -> Array:
        """How that point moves with the independent velocities, m per m or rad (axes: xyz, freedom)."""
        full = np.zeros((3, self.body.mj_model.nv))
        mujoco.mj_jacSubtreeCom(self.body.mj_model, self.data, full, 1)
        return full @ self.coupling_jacobian

    def gravity_load(self) -> Array:
        """The generalised forces, N and N m (axis: freedom), that hold the pose when only its weight acts."""
        full = np.zeros(self.body.mj_model.nv)
        mujoco.mj_rne(self.body.mj_model, self.data, 0, full)
        return full @ self.coupling_jacobian

    def muscle_lengths(self) -> Array:
        """Lengths of muscles with their tendons, m (axis: muscle, in the order of body.muscles)."""
        self.moment_arms()
        return np.array(self.data.ten_length)

    def moment_arms(self) -> Array:
        """Generalised force of each muscle for one newton of pull, N and N m (axes: freedom, muscle)."""
        from everyrung.body.muscle_pull import arms_of  # late, for numba takes a third of a second

        if self._arms is None:
            model, data, by = self.body.mj_model, self.data, self.body.couplings
            mujoco.mj_tendon(model, data)
            rate = self.coupling_jacobian[by.own, by.driving]
            rows = model.ten_J_rownnz, model.ten_J_rowadr, model.ten_J_colind
            self._arms = arms_of(*rows, data.ten_J, by.driving, rate, self.coupling_jacobian.shape[1]).T
        return self._arms

    def stretched_load(self) -> Array:
        """Generalised forces, N and N m (axis: freedom), of the stretched muscles in this pose, nobody making an
        effort.
        """
        forces: Array = self.moment_arms() @ self.body.muscles.passive_force(self.data.ten_length)
        return forces

    def tissue_load(self) -> Array:
        """Generalised forces, N m (axis: freedom), by which tight joints push back from the ends of their range."""
        if self._ends is None:
            self._ends = self.body.limits.moments(self.q_ind)
        return self._ends

    def passive_load(self) -> Array:
        """Generalised forces, N and N m (axis: freedom), of stretched muscles and tight joints together."""
        return self.stretched_load() + self.tissue_load()
