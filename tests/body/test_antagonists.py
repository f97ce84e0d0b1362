"""What works against a joint's moment works a little; joint moments and supports stay as they were."""

from typing import Any

import numpy as np
import pytest

from everyrung.body import antagonists
from everyrung.body.antagonists import SHARE, floors
from everyrung.body.bodies import body_model
from everyrung.body.configuration import Configuration
from everyrung.body.demand import demand
from everyrung.body.pose_problem import pose_problem
from everyrung.body.trajectory import full_of, solve_depths
from everyrung.moves.library import standard_library
from everyrung.terms.demand import Demand
from everyrung.terms.person import BodySize, Sex

MAN = BodySize(sex=Sex.MALE, stature_m=1.76, mass_kg=78.0)


def at_depth(rung: str) -> Demand:
    library = standard_library()
    form = library.rung(*rung.split("/")).form
    given = pose_problem(form, library.pose(form), MAN)
    configuration = Configuration(body_model(MAN), full_of(solve_depths(given)).q_ind)
    return demand(configuration, given.contacts(1.0), given.held_loads(1.0), None, given.pulls(1.0))


def test_the_hamstrings_work_a_little_in_a_wall_squat_and_the_vasti_make_up_for_it(monkeypatch: Any) -> None:
    here = at_depth("ball-wall-squat/wall-sit")
    knee = next(one.fraction for one in here.moments if one.motion == "knee_extension_right")
    assert here.activation("hamstrings_right") >= 0.5 * SHARE * knee  # half, for not all of them have a long arm there
    monkeypatch.setattr(antagonists, "SHARE", 0.0)
    alone = at_depth("ball-wall-squat/wall-sit")
    assert here.activation("hamstrings_right") > alone.activation("hamstrings_right")
    assert here.activation("vasti_right") > alone.activation("vasti_right")
    assert here.moments == alone.moments
    assert here.reactions == alone.reactions


def test_without_a_share_nothing_is_changed(monkeypatch: Any) -> None:
    """The second search, without floors, has to find what the first did."""
    monkeypatch.setattr(antagonists, "SHARE", 0.0)
    here = at_depth("split-squat/base")
    assert max(one.activation for one in here.efforts) < 1.0
    monkeypatch.setattr("everyrung.body.demand.co_contracted", lambda asked, answer, _: answer.x[: len(asked.pull)])
    first = at_depth("split-squat/base")
    for one, other in zip(here.efforts, first.efforts, strict=True):
        assert one.activation == pytest.approx(other.activation, abs=1e-5)


def test_only_what_works_against_the_moment_has_a_floor() -> None:
    pull = np.zeros((3, 8))
    pull[0, 6], pull[1, 6], pull[2, 7] = 40.0, -30.0, -10.0
    assert floors(pull, np.array([0.5, -0.2]), 0.1).tolist() == [0.0, 0.05, 0.0]
    assert floors(pull, np.array([-0.5, 0.2]), 0.1).tolist() == [0.05, 0.0, pytest.approx(0.02)]
