"""Inverse dynamics of whole poses, leaned on and loaded, by a third engine: OpenSim 4 (simtk.org, Apache-2.0).

Its wheel is no part of the tests' tools (72 MB): `pip install opensim`, or these tests are skipped.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pytest
from opensim_tree import PointForce, joint_forces

from everyrung.body.configuration import Configuration
from everyrung.body.contacts import Contact, HeldLoad
from everyrung.body.coordinates import ROOT_FREEDOMS
from everyrung.body.demand import demand
from everyrung.body.inverse_dynamics import GRAVITY, inverse_dynamics
from everyrung.body.pose_problem import pose_problem
from everyrung.body.static_optimization import build_problem, friction_cones, solve
from everyrung.body.trajectory import full_of, solve_depths
from everyrung.moves.library import standard_library
from everyrung.terms.person import BodySize, Sex

osim = pytest.importorskip("opensim", reason="no OpenSim here: pip install opensim")

WITHIN = 1e-6  # of the moment; OpenSim's joints are given by angles of nine digits
LEAST_NM = 1.0  # chosen, because smaller ones are the rounding of large ones
SIX = [
    ("squat", "goblet"), ("split-squat", "pair"), ("hip-hinge", "base"), ("push-up", "base"), ("bridge", "base"),
    ("front-plank", "base"),
]  # fmt: skip
WOMAN = BodySize(sex=Sex.FEMALE, stature_m=1.63, mass_kg=62.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Posed:
    """A rung at its full depth, and what it leans on and holds there."""

    configuration: Configuration
    contacts: list[Contact]
    held: list[HeldLoad]


def posed_rung(move: str, rung: str) -> Posed:
    library = standard_library()
    form = library.rung(move, rung).form
    problem = pose_problem(form, library.pose(form), WOMAN)
    configuration = Configuration(problem.body, full_of(solve_depths(problem, hold=form.tempo.is_hold)).q_ind)
    given, depth = problem.step(1.0)
    assert not given.pulls(depth)
    return Posed(configuration=configuration, contacts=given.contacts(depth), held=given.held_loads(depth))


def supports(posed: Posed) -> Iterator[PointForce]:
    """The forces under each point as the product finds them, and the loads' weights."""
    configuration, held = posed.configuration, posed.held
    weight_n = (configuration.body.mass_kg + sum(load.mass_kg for load in held)) * GRAVITY
    cones = friction_cones(configuration, posed.contacts)
    wanted = inverse_dynamics(configuration, held) @ configuration.coupling_jacobian - configuration.stretched_load()
    asked = build_problem(configuration, posed.contacts, cones, wanted, weight_n)
    rays_n = iter(weight_n * solve(asked).x[asked.first_ray :])
    for one in posed.contacts:
        for point in one.points:
            yield PointForce(landmark=point, force_n=sum(next(rays_n) * ray for ray in one.rays()))
    for load in held:
        for point in load.points:
            down_n = np.array([0.0, 0.0, -load.mass_kg / len(load.points) * GRAVITY])
            yield PointForce(landmark=point, force_n=down_n)


@pytest.mark.slow
@pytest.mark.parametrize(("move", "rung"), SIX, ids=[move for move, _ in SIX])
def test_moments_of_six_poses_are_those_of_opensim(move: str, rung: str) -> None:
    posed = posed_rung(move, rung)
    configuration = posed.configuration
    theirs = joint_forces(osim, configuration, list(supports(posed))) @ configuration.coupling_jacobian
    ways = configuration.body.strengths.ways
    ours = demand(configuration, posed.contacts, posed.held).moments
    ours_nm = np.array(
        [one.moment_nm if one.motion == up[0] else -one.moment_nm for one, (up, _) in zip(ours, ways, strict=True)]
    )
    large = np.abs(ours_nm) > LEAST_NM
    assert large.sum() >= 8  # hips, knees, ankles and more
    assert theirs[ROOT_FREEDOMS:][large] == pytest.approx(ours_nm[large], rel=WITHIN)
