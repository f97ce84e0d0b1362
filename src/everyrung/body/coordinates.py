"""The independent coordinates of the body, in a coach's words and signs, and q = f(q_ind).

The upstream model's polynomial joint couplings are written out, so that no constraint has to be solved. A pose's
coordinates are one array: place of the pelvis (m), its turn as a unit quaternion (w x y z), then the angles of
COORDINATES (rad). Its velocities, and every Jacobian here, have three turns about the pelvis' own axes instead.
"""

from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Integers = NDArray[np.int64]
Flags = NDArray[np.bool_]
Vector3 = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Coordinate:
    """One angle in radians, and the model's joint that it drives: `factor` times, or for the spine shared out."""

    name: str
    joint: str
    factor: float = 1.0


@cache
def coordinate_names() -> tuple[str, ...]:
    """What the independent angles are called, in the order in which every array has them.

    >>> coordinate_names()[:2], len(coordinate_names())
    (('trunk_flexion', 'trunk_bend_right'), 28)
    """
    return tuple(coordinate.name for coordinate in COORDINATES)


def both(name: str, joint: str, factor: float = 1.0) -> tuple[Coordinate, Coordinate]:
    """Left and right of a paired angle; the upstream model's signs are the same on both sides.

    >>> [one.joint for one in both("knee_flexion", "knee_angle_{tag}")]
    ['knee_angle_l', 'knee_angle_r']
    """
    left, right = (
        Coordinate(name=f"{name}_{side}", joint=joint.format(tag=side[0], side=side), factor=factor)
        for side in ("left", "right")
    )
    return left, right


# The name says which way is positive. The spine's angles are the whole bend from pelvis to chest: the upstream model's
# own coordinate is smaller, for each vertebra adds its share (1.875 times in bending forward).
COORDINATES: tuple[Coordinate, ...] = (
    Coordinate(name="trunk_flexion", joint="flex_extension", factor=-1.0),
    Coordinate(name="trunk_bend_right", joint="lat_bending"),
    Coordinate(name="trunk_turn_left", joint="axial_rotation"),
    Coordinate(name="neck_flexion", joint="neck_flexion"),
    *both("hip_flexion", "hip_flexion_{tag}"),
    *both("hip_abduction", "hip_adduction_{tag}", -1.0),
    *both("hip_rotation_in", "hip_rotation_{tag}"),
    *both("knee_flexion", "knee_angle_{tag}"),
    *both("ankle_dorsiflexion", "ankle_angle_{tag}"),
    *both("foot_inversion", "subtalar_angle_{tag}"),
    *both("toe_extension", "mtp_angle_{tag}", -1.0),
    *both("shoulder_flexion", "shoulder_flexion_{side}"),
    *both("shoulder_abduction", "shoulder_abduction_{side}"),
    *both("shoulder_rotation_in", "shoulder_rotation_in_{side}"),
    *both("elbow_flexion", "elbow_flexion_{side}"),
    *both("forearm_pronation", "forearm_pronation_{side}"),
)
SPINE_SUFFIX = {"flex_extension": "_FE", "lat_bending": "_LB", "axial_rotation": "_AR"}
ROOT_FREEDOMS = 6  # three of place (m, world axes), three of turn (rad, body axes)
ROWS_OF_ROOT = np.arange(ROOT_FREEDOMS)
ROOT = 7  # three of place, four of turn


@dataclass(frozen=True, slots=True, kw_only=True)
class Couplings:
    """One polynomial (5 coefficients, rising powers) in one independent angle for each moving joint of the model.

    Axes: `place`, `freedom`, `drives`, `low` and `high` have a joint each, `coefficients` joint and power; `own` are
    all of the model's velocities, `driving` the independent one that each goes with. Angles are in rad, slides in m.

    Beyond the range the upstream model's polynomials were fitted for (`low`, `high`) a joint goes on along its tangent.
    """

    place: Integers
    freedom: Integers
    drives: Integers
    coefficients: Array
    low: Array
    high: Array
    size: tuple[int, int]
    own: Integers
    driving: Integers

    def positions(self, q_ind: Array) -> Array:
        """The model's joint positions, m and rad (axis: the model's own), for `q_ind` (axis: as at the top of this
        module).
        """
        x, inside = self.driving_angles(q_ind)
        value = ((((c := self.coefficients)[:, 4] * inside + c[:, 3]) * inside + c[:, 2]) * inside + c[:, 1]) * inside
        q = np.zeros(self.size[0])
        q[:ROOT] = q_ind[:ROOT]
        q[self.place] = value + c[:, 0] + self.slopes(inside) * (x - inside)
        return q

    def jacobian(self, q_ind: Array) -> Array:
        """G = dq/dq_ind, m or rad per m or rad (axes: model velocity, independent velocity), at `q_ind`."""
        g = np.zeros((self.size[1], ROOT_FREEDOMS + len(COORDINATES)))
        g[ROWS_OF_ROOT, ROWS_OF_ROOT] = 1.0
        g[self.freedom, ROOT_FREEDOMS + self.drives] = self.slopes(self.driving_angles(q_ind)[1])
        return g

    def bending(self, q_ind: Array, velocity: Array) -> Array:
        """dG/dt times `velocity` (axis: independent velocity; m/s, rad/s): what coupled joints accelerate by while
        their driving angle moves steadily, m/s2 and rad/s2 (axis: model velocity).
        """
        x, inside = self.driving_angles(q_ind)
        c = self.coefficients
        curvature = np.where(x == inside, (12 * c[:, 4] * x + 6 * c[:, 3]) * x + 2 * c[:, 2], 0.0)
        acceleration = np.zeros(self.size[1])
        acceleration[self.freedom] = curvature * velocity[ROOT_FREEDOMS + self.drives] ** 2
        return acceleration

    def driving_angles(self, q_ind: Array) -> tuple[Array, Array]:
        """The driving angle of each joint, rad (axis: joint), as it is and held within the fitted range."""
        x = q_ind[ROOT + self.drives]
        return x, np.minimum(np.maximum(x, self.low), self.high)

    # `pose_search.put` says this polynomial and this slope again: what compiled code calls stands in its own file
    # (machine_code.py), and that file reads trees made of these couplings, so that it cannot be called from here.
    def slopes(self, x: Array) -> Array:
        """How fast each joint turns or slides with its driving angle `x`, rad or m per rad (axis: joint)."""
        c = self.coefficients
        slope: Array = ((4 * c[:, 4] * x + 3 * c[:, 3]) * x + 2 * c[:, 2]) * x + c[:, 1]
        return slope


KNEE_FITTED = (0.0, 2.0944)  # rad: the range of the upstream model's knee, which its polynomials were fitted for


def couplings(model: Any) -> Couplings:
    """The couplings of a compiled model: its own equalities, in our coordinates. Raises KeyError for one whose joints
    have other names.
    """
    names = coordinate_names()
    factors = {one.joint: one.factor / spine_share(model, one.joint) for one in COORDINATES}
    index = {one.joint: names.index(one.name) for one in COORDINATES}
    polynomials = {joint: (joint, np.array([0.0, 1.0, 0.0, 0.0, 0.0])) for joint in factors} | equalities(model)
    rows = []
    for joint, (driver, coefficients) in polynomials.items():
        powers = factors[driver] ** np.arange(5)
        domain = KNEE_FITTED if driver.startswith("knee") and driver != joint else (-np.inf, np.inf)
        at = model.joint(joint).id
        rows.append(
            (model.jnt_qposadr[at], model.jnt_dofadr[at], index[driver], coefficients * powers, domain[0], domain[1])
        )
    place, freedom, drives, coefficients, low, high = (np.array(column) for column in zip(*rows, strict=True))
    driving = np.arange(model.nv)  # the pelvis' own first
    driving[freedom] = ROOT_FREEDOMS + drives
    return Couplings(
        place=place,
        freedom=freedom,
        drives=drives,
        coefficients=coefficients,
        low=low,
        high=high,
        size=(model.nq, model.nv),
        own=np.arange(model.nv),
        driving=driving,
    )


def equalities(model: Any) -> dict[str, tuple[str, Array]]:
    """Coupled joint -> (driving joint, its 5 coefficients; axis: rising powers of rad). A locked joint depends on the
    first coordinate by zeros.
    """
    import mujoco  # late, for who only reads demands needs none of it

    by_joint = {}
    for row in range(model.neq):
        assert model.eq_type[row] == mujoco.mjtEq.mjEQ_JOINT
        driver = model.eq_obj2id[row]
        name = model.joint(driver).name if driver >= 0 else COORDINATES[0].joint
        coefficients = model.eq_data[row, :5].copy() if driver >= 0 else np.zeros(5)
        by_joint[model.joint(model.eq_obj1id[row]).name] = (name, coefficients)
    return by_joint


def spine_share(model: Any, joint: str) -> float:
    """How many times its own angle a spine joint of the upstream model turns the chest; 1 for every other joint."""
    suffix = SPINE_SUFFIX.get(joint)
    if suffix is None:
        return 1.0
    shares = (c[1] for name, (driver, c) in equalities(model).items() if driver == joint and name.endswith(suffix))
    return float(1.0 + sum(shares))
