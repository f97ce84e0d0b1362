"""A band that is fast in the room pulls as hard as it is stretched, along the line that the move says: by hand."""

import numpy as np
import pytest

from everyrung.body.bodies import body_model
from everyrung.body.configuration import Configuration
from everyrung.body.contacts import Pull
from everyrung.body.mechanics import DRAWN
from everyrung.body.pose_problem import pose_problem
from everyrung.body.rung_load import BAND_N
from everyrung.moves.library import standard_library
from everyrung.terms.enums import BandGrade, Side
from everyrung.terms.units import Load


def test_a_pull_toward_a_place_does_the_work_of_its_force_along_it() -> None:
    """Virtual work: lifted by 1 mm, a point under 40 N straight up takes up 40 N times 1 mm."""
    configuration = Configuration(body_model(DRAWN))
    pull = Pull(start="grip_right", end="grip_right", newtons=40.0, way=(0.0, 0.0, 1.0))
    forces = pull.forces(configuration)
    assert forces[2] == pytest.approx(40.0)  # the root's own height moves every point as much
    assert forces[:2] == pytest.approx(np.zeros(2), abs=1e-9)


@pytest.mark.parametrize("grade", [BandGrade.LIGHT, BandGrade.HEAVY])
def test_the_pull_down_hangs_on_both_hands_by_its_band(grade: BandGrade) -> None:
    form = standard_library().rung("pull-down", "base").form
    given = pose_problem(form, standard_library().pose(form), DRAWN, Load(band=grade), Side.RIGHT)
    pulls = given.pulls(1.0)
    assert [pull.newtons for pull in pulls] == pytest.approx([BAND_N[grade]] * 2)
    assert all(pull.way and pull.way[2] > 0.9 and pull.way[1] < 0 for pull in pulls)  # up, and ahead


def test_a_press_out_is_pulled_to_one_side_by_both_hands_together() -> None:
    form = standard_library().rung("press-out", "base").form
    given = pose_problem(form, standard_library().pose(form), DRAWN, None, Side.RIGHT)
    ways = [pull.way for pull in given.pulls(1.0) if pull.way]
    assert len(ways) == 2
    assert ways[0] == pytest.approx(ways[1])
    assert ways[0][0] > 0.99  # away from the working, right, side
