"""One body's model: from sex, stature and mass to bones, muscles, masses and named points."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple
from xml.etree import ElementTree

import mujoco
import numpy as np

from everyrung.body.coordinates import Array, Couplings, Flags, Integers, couplings
from everyrung.body.joint_strength import Limits, Strengths, limits, strengths
from everyrung.body.landmarks import add_landmarks, landmarks
from everyrung.body.masses import add_inertials, inertials, origins
from everyrung.body.muscles import Muscles, muscles_of
from everyrung.body.skeleton import Proportions, Scales, add_head_and_arms, proportions, scale_bones, scales
from everyrung.body.upstream_model import Element, load_upstream_mjcf
from everyrung.terms.person import BodySize

HINGE = int(mujoco.mjtJoint.mjJNT_HINGE)


class KinematicTree(NamedTuple):
    """A body's bones, joints and named points as plain arrays, parents before children: what compiled code reads.

    Axes: bone, joint (the free one of the pelvis left out), point (landmarks in their order), coordinate.

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


@dataclass(frozen=True, slots=True, kw_only=True)
class BodyModel:
    """A body ready to be posed. `mj_model` is MuJoCo's model; nothing in it is changed after building.

    `landmarks` are rows of its sites, `places` rows of the points of `tree`; `mass_kg` is what its bones weigh.
    """

    size: BodySize
    proportions: Proportions
    scales: Scales
    mj_model: Any
    couplings: Couplings
    muscles: Muscles
    strengths: Strengths
    limits: Limits
    landmarks: dict[str, int]
    places: dict[str, int]
    point_names: frozenset[str]
    tree: KinematicTree
    mass_kg: float


def body_tree(size: BodySize) -> tuple[Element, Proportions, Scales]:
    """The XML tree of a body of this size, with its lengths, m, and how much larger its parts are than the upstream
    model's.
    """
    tree, lengths = load_upstream_mjcf(), proportions(size)
    by = scales(tree, lengths)
    scale_bones(tree, by)
    add_head_and_arms(tree, lengths, by)
    at = origins(tree)
    add_inertials(tree, inertials(size, lengths, at), at)
    add_landmarks(tree, landmarks(lengths, by, at))
    for actuator in tree.findall("actuator"):
        tree.remove(actuator)  # muscles are tendons here; their forces are computed in muscles.py
    return tree, lengths, by


def bare_body(size: BodySize) -> BodyModel:
    """The body with the upstream model's own muscle forces, before they are fitted to its strength (bodies.py).

    >>> woman = bare_body(BodySize(sex="female", stature_m=1.65, mass_kg=62))
    >>> round(woman.mass_kg, 6), woman.mj_model.nbody == len(woman.tree.parent)
    (62.0, True)
    """
    tree, lengths, by = body_tree(size)
    model = mujoco.MjModel.from_xml_string(ElementTree.tostring(tree, encoding="unicode"))
    sites = {model.site(row).name: row for row in range(model.nsite)}
    points = {name.removeprefix("at "): row for name, row in sites.items() if name.startswith("at ")}
    by_angle, ends = couplings(model), limits(size)
    return BodyModel(
        size=size,
        proportions=lengths,
        scales=by,
        mj_model=model,
        couplings=by_angle,
        muscles=muscles_of(model),
        strengths=strengths(size),
        limits=ends,
        landmarks=points,
        point_names=frozenset(points),
        places={name: place for place, name in enumerate(points)},
        tree=kinematic_tree(model, by_angle, ends, points),
        mass_kg=float(model.body_mass.sum()),
    )


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
