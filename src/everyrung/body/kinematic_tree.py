"""A body's bones, joints and named points as plain arrays, parents before children: what compiled code reads."""

from collections.abc import Mapping
from typing import Any, NamedTuple

import mujoco
import numpy as np
from numpy.typing import NDArray

from everyrung.body.coordinates import Array, Couplings
from everyrung.body.joint_strength import Limits

Integers = NDArray[np.int64]
Flags = NDArray[np.bool_]
HINGE = int(mujoco.mjtJoint.mjJNT_HINGE)


class KinematicTree(NamedTuple):
    """Axes: bone, joint (the free one of the pelvis left out), point (landmarks in their order), coordinate.

    Of a bone: the row of its parent, place (m) and turn (quaternion) in it, mass (kg), its centre (m, in the bone) and
    the mass of it with all bones beyond it (kg); `first` is the row of its first joint, with one more at the end. Of
    a joint: whether it turns (or slides), axis and anchor in the bone, the coordinate that drives it, and the
    polynomial by which it does, with the range it was fitted for (coordinates.py). Of a point: its bone, and the place
    in it. Of a coordinate: the ends of its range, rad.
    """

    parent: Integers
    place_m: Array
    turn: Array
    mass_kg: Array
    centre_m: Array
    branch_kg: Array
    first: Integers
    turns: Flags
    axis: Array
    anchor_m: Array
    drives: Integers
    coefficients: Array
    fitted_low: Array
    fitted_high: Array
    bone: Integers
    point_m: Array
    low: Array
    high: Array


def kinematic_tree(model: Any, couplings: Couplings, limits: Limits, landmarks: Mapping[str, int]) -> KinematicTree:
    """The arrays of a compiled model; its first joint is the free one, and bone 0 the world."""
    joints = np.arange(1, model.njnt)
    row_of = {int(place): row for row, place in enumerate(couplings.place)}
    rows = np.array([row_of[int(model.jnt_qposadr[joint])] for joint in joints])
    sites = np.array(list(landmarks.values()), dtype=np.int64)
    return KinematicTree(
        parent=model.body_parentid.astype(np.int64),
        place_m=np.array(model.body_pos),
        turn=np.array(model.body_quat),
        mass_kg=np.array(model.body_mass),
        centre_m=np.array(model.body_ipos),
        branch_kg=np.array(model.body_subtreemass),
        first=np.searchsorted(model.jnt_bodyid[joints], np.arange(model.nbody + 1)).astype(np.int64),
        turns=np.array(model.jnt_type[joints] == HINGE),
        axis=np.array(model.jnt_axis[joints]),
        anchor_m=np.array(model.jnt_pos[joints]),
        drives=couplings.drives[rows].astype(np.int64),
        coefficients=np.ascontiguousarray(couplings.coefficients[rows]),
        fitted_low=couplings.low[rows],
        fitted_high=couplings.high[rows],
        bone=model.site_bodyid[sites].astype(np.int64),
        point_m=np.array(model.site_pos[sites]),
        low=limits.low,
        high=limits.high,
    )
