"""The programme of muscles and supports against a second solver: Clarabel, an interior-point solver for cones."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import clarabel
import numpy as np
import pytest
from hand_loads import in_hand
from scipy import sparse

from everyrung.body import static_optimization
from everyrung.body.configuration import Configuration
from everyrung.body.contacts import Contact, Kind, contact, sole
from everyrung.body.inverse_dynamics import GRAVITY, inverse_dynamics
from everyrung.body.mechanics import Job, demand_of
from everyrung.body.reference_grid import reference_grid
from everyrung.body.static_optimization import Problem, build_problem, friction_cones, solve
from everyrung.moves.library import standard_library
from everyrung.terms.demand import RungDemand
from everyrung.terms.units import Load, Mass, MassUnit

POSES = 30
LOAD_KG = 6.0
SUPPORTS: list[list[Contact]] = [
    [sole("left"), sole("right")],
    [sole("left").taking(0.35), sole("right"), contact("ball", ("lumbar",), Kind.BALL_AT_WALL, (0.0, -1.0, 0.0))],
    [contact("shoulders", ("upper_back",), Kind.FLOOR), contact("heel", ("heel_left",), Kind.BALL_UNDER_HEEL)],
]


def by_clarabel(asked: Problem) -> float:
    """The least cost of the same programme: equalities as a zero cone, bounds as a non-negative one."""
    rows = np.hstack([asked.rows(), np.eye(len(asked.target))])
    size, bounded = rows.shape[1], len(asked.weight)
    ended = np.flatnonzero(np.isfinite(asked.most))
    below = -np.eye(size)[:bounded]
    above = np.eye(size)[ended]
    settings = clarabel.DefaultSettings()
    settings.verbose = False
    settings.tol_gap_abs = settings.tol_gap_rel = settings.tol_feas = 1e-10
    found = clarabel.DefaultSolver(
        sparse.csc_matrix(sparse.diags_array(np.concatenate([asked.weight, asked.dear]))),
        np.zeros(size),
        sparse.csc_matrix(np.vstack([rows, below, above])),
        np.concatenate([asked.target, -asked.least, asked.most[ended]]),
        [clarabel.ZeroConeT(len(asked.target)), clarabel.NonnegativeConeT(bounded + len(ended))],
        settings,
    ).solve()
    assert str(found.status) == "Solved"
    return float(found.obj_val)


@pytest.mark.parametrize("supports", SUPPORTS, ids=["feet", "feet and ball", "shoulders and heel"])
@pytest.mark.parametrize("floor", [0.0, 0.05], ids=["from nothing", "from a floor"])
def test_least_cost_is_that_of_a_second_solver(
    floor: float, supports: list[Contact], woman: Any, any_poses: Callable[..., list[Any]]
) -> None:
    configuration = Configuration(woman)
    for q_ind in any_poses(woman, POSES):
        configuration.set_q(q_ind)
        found = friction_cones(configuration, supports)
        wanted = (
            inverse_dynamics(configuration, [in_hand(LOAD_KG, "left")]) @ configuration.coupling_jacobian
            - configuration.stretched_load()
        )
        plain = build_problem(configuration, supports, found, wanted, (62.0 + LOAD_KG) * GRAVITY)
        asked = replace(plain, least=np.minimum(plain.most, np.where(np.arange(len(plain.least)) % 7 == 0, floor, 0.0)))
        answer = solve(asked)
        assert asked.rows() @ answer.x + answer.slacks == pytest.approx(
            asked.target, abs=1e-7 * np.abs(asked.target).max()
        )
        assert (answer.x >= asked.least).all()
        assert (answer.x <= asked.most).all()
        assert asked.cost(answer) == pytest.approx(by_clarabel(asked), rel=1e-6)


@pytest.mark.parametrize(
    ("address", "body", "kg"),
    [("one-leg-hinge/opposite", 2, 9.08), ("reverse-lunge/slider-pair", 8, 0.01), ("ball-turn/one", 5, 4.54)],
)
@pytest.mark.parametrize("power", [static_optimization.FORCE_POWER, 0.0])
def test_a_programme_on_which_steps_go_back_and_forth_is_solved(
    address: str, body: int, kg: float, power: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Newton's steps did not arrive in a hundred: halved until the dual rises in the first, in a circle of three in the
    others, where a step may end steeply downhill and each activation counts alike.
    """
    monkeypatch.setattr(static_optimization, "FORCE_POWER", power)
    form = standard_library().rung(*address.split("/")).form
    pieces = (Mass(amount=kg, unit=MassUnit.KG),) * (2 if address.endswith("pair") else 1)
    layer = standard_library().pose(form)
    found = demand_of(Job(form=form, layer=layer, size=reference_grid()[body], load=Load(pieces=pieces)))
    assert isinstance(found, RungDemand), found
