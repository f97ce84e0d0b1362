"""One body's model: from sex, stature and mass to bones, muscles, masses and named points."""

from dataclasses import dataclass
from typing import Any
from xml.etree import ElementTree

import mujoco

from everyrung.body.coordinates import Couplings, couplings
from everyrung.body.joint_strength import Limits, Strengths, limits, strengths
from everyrung.body.kinematic_tree import KinematicTree, kinematic_tree
from everyrung.body.landmarks import add_landmarks, landmarks
from everyrung.body.masses import add_inertials, inertials, origins
from everyrung.body.muscles import Muscles, muscles_of
from everyrung.body.skeleton import Proportions, Scales, add_head_and_arms, proportions, scale_bones, scales
from everyrung.body.upstream_model import Element, load_upstream_mjcf
from everyrung.terms.person import BodySize


@dataclass(frozen=True, slots=True, kw_only=True)
class BodyModel:
    """A body ready to be posed. `compiled` is MuJoCo's model; nothing in it is changed after building.

    `landmarks` are rows of its sites, `places` rows of the points of `tree`; `mass_kg` is what its bones weigh.
    """

    size: BodySize
    proportions: Proportions
    scales: Scales
    compiled: Any
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
    """The XML tree of a body of this size."""
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
    """The body with the upstream model's own muscle forces, before they are fitted to its strength (bodies.py)."""
    tree, lengths, by = body_tree(size)
    compiled = mujoco.MjModel.from_xml_string(ElementTree.tostring(tree, encoding="unicode"))
    named = {compiled.site(row).name: row for row in range(compiled.nsite)}
    known = {name.removeprefix("at "): row for name, row in named.items() if name.startswith("at ")}
    by_angle, ends = couplings(compiled), limits(size)
    return BodyModel(
        size=size,
        proportions=lengths,
        scales=by,
        compiled=compiled,
        couplings=by_angle,
        muscles=muscles_of(compiled),
        strengths=strengths(size),
        limits=ends,
        landmarks=known,
        point_names=frozenset(known),
        places={name: place for place, name in enumerate(known)},
        tree=kinematic_tree(compiled, by_angle, ends, known),
        mass_kg=float(compiled.body_mass.sum()),
    )
