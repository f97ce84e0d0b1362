"""Measures of two rungs: which way is harder, and how sure one can be."""

from typing import Any

import pytest

from everyrung.checks.difficulty import Measure, SetDemand, measures
from everyrung.terms.demand import GroupDemand, MotionDemand, RungDemand
from everyrung.terms.person import BodySize, Sex

ONE = BodySize(sex=Sex.FEMALE, stature_m=1.60, mass_kg=60.0)


def demand_of(*, fraction: float = 0.4, mean: float = 0.2, peak: float = 0.3, **values: Any) -> RungDemand:
    """A made-up demand: one joint, one group."""
    usual: dict[str, Any] = {
        "trunk_nm": 40.0, "balance_m": 0.07, "sideways_m": 0.15, "work_j": 100.0, "shortfalls": (), "self_checks": (),
        "farthest_mm": 0.0, "farthest_deg": 0.0,
    }  # fmt: skip
    knee = MotionDemand(motion="knee_extension_left", moment_nm=50.0, fraction=fraction, mean_fraction=mean, depth=1.0)
    thigh = GroupDemand(group="vasti_left", peak=peak, mean=peak)
    return RungDemand(
        size=ONE, load_kg=0.0, rep_ms=4000, motions=(knee,), groups=(thigh,),
        bearings=(), joints=(), above_rest_w=100.0, misfits=(), has_converged=True, from_memory=(),
        **{**usual, **values},
    )  # fmt: skip


def by_name(before: SetDemand, after: SetDemand) -> dict[str, Measure]:
    return {one.name.split(" (")[0]: one for one in measures(before, after)}


def once(**values: Any) -> SetDemand:
    return SetDemand(demand=demand_of(**values), reps=1, lasting_s=4.0)


def test_more_of_a_joints_strength_is_harder_and_less_margin_too() -> None:
    found = by_name(once(fraction=0.40, balance_m=0.07), once(fraction=0.50, balance_m=0.04))
    assert found["hardest joint"].harder
    assert found["hardest joint"].rise == pytest.approx(0.10)
    assert found["balance margin"].harder
    assert found["balance margin"].rise == pytest.approx(0.03)


def test_a_rise_inside_the_error_is_neither_harder_nor_easier() -> None:
    found = by_name(once(fraction=0.40), once(fraction=0.41))["hardest joint"]
    assert found.rise > 0
    assert not found.harder
    assert not found.easier
    assert by_name(once(fraction=0.40), once(fraction=0.37))["hardest joint"].easier


def test_repetitions_and_time_count() -> None:
    """By hand: 8 x 100 J to 10 x 100 J; 0.2 in the mean for 32 s is 6.4 s, for 40 s 8 s at full strength."""
    eight = SetDemand(demand=demand_of(work_j=100, mean=0.2), reps=8, lasting_s=32)
    ten = SetDemand(demand=demand_of(work_j=100, mean=0.2), reps=10, lasting_s=40)
    found = by_name(eight, ten)
    assert (found["work lifted"].before, found["work lifted"].after) == (800, 1000)
    assert found["time under load"].before == pytest.approx(6.4)
    assert found["time under load"].after == pytest.approx(8.0)
    assert found["time under load"].harder


def test_a_hold_has_no_work_and_a_lying_body_no_margin() -> None:
    names = by_name(once(work_j=0, balance_m=None), once(work_j=0, balance_m=None))
    assert "work lifted" not in names
    assert "balance margin" not in names


def test_a_measure_says_before_after_and_how_well_it_is_known() -> None:
    assert str(by_name(once(fraction=0.40), once(fraction=0.50))["hardest joint"]) == (
        "hardest joint (knee extension left) 0.40 to 0.50 of its strength (known within 0.02)"
    )
    assert "70 to 40 mm (known within 5)" in str(by_name(once(balance_m=0.07), once(balance_m=0.04))["balance margin"])


@pytest.mark.parametrize(
    ("before", "after", "harder"),
    # by hand: 2 N m up to 40 N m, from there a twentieth; both chosen, see checks/difficulty.py
    [(10, 11.9, False), (10, 12.1, True), (40, 43, True), (100, 104.9, False), (100, 105.1, True)],
)
def test_a_trunk_s_moment_is_known_within_two_newton_metres_or_a_twentieth(
    before: float, after: float, harder: bool
) -> None:
    assert by_name(once(trunk_nm=before), once(trunk_nm=after))["trunk moment"].harder is harder
