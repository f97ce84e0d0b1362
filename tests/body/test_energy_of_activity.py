"""A move too quick for poses: its power is the published one of an activity, its joints are of poses held still."""

import pytest

from everyrung.body.energy import activity, activity_w
from everyrung.body.mechanics import DRAWN, Failure, Job, demands
from everyrung.moves.library import standard_library
from everyrung.terms.errors import Invalid

QUICK = [key for key in standard_library().keys if standard_library().pose(standard_library().move(key).base).energy]


def test_each_activity_that_a_move_names_is_in_the_compendium() -> None:
    assert {"pogo", "jump-squat", "step-touch"} <= set(QUICK)
    for key in QUICK:
        assert "MET" in activity(standard_library().pose(standard_library().move(key).base).energy or "")


def test_an_unknown_activity_is_refused_with_the_nearest() -> None:
    with pytest.raises(Invalid, match="Nearest: 020"):
        activity("02025 2024")


def test_power_above_rest_is_mets_less_one_by_hand() -> None:
    """7.5 MET, 60 kg: 6.5 x 3.5 ml of oxygen a kg and minute x 60 kg at some 20.9 kJ a litre, about 475 W."""
    assert activity_w("02020 2024", 60.0) == pytest.approx(6.5 * 3.5 * 60 / 60 * 20.9, rel=0.03)


def test_a_hop_has_the_power_of_its_activity_and_joints_of_poses_held_still() -> None:
    form = standard_library().rung("pogo", "base").form
    ((_, answer),) = demands([Job(form=form, layer=standard_library().pose(form), size=DRAWN)])
    assert not isinstance(answer, Failure)
    assert answer.above_rest_w == pytest.approx(activity_w("02020 2024", DRAWN.mass_kg), rel=1e-6)
    assert answer.work_j == 0.0
