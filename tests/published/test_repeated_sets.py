"""Repeated sets with rests: Willardson and Burkett 2005, J Strength Cond Res 19:23-26 (values seen second-hand).

15 trained men, four sets to failure with an 8RM: totals against those with a minute's rest. Here 2,000 men, endurance
log-SD 0.32, loads drawn so that the first set is 8; knee's R and r = 15 for the squat, shoulder's R and r = 10 for the
bench press. That 10 was chosen from this very study, so that only the squat's rows are a check.
"""

import pytest
from endurance_studies import SETS_WITHIN, WILLARDSON, repeated_sets, sets_ratio


@pytest.mark.parametrize(("lift", "joint", "rest_s"), list(WILLARDSON))
def test_longer_rests_bring_as_many_more_repetitions(lift: str, joint: str, rest_s: float) -> None:
    assert sets_ratio(joint, rest_s) == pytest.approx(WILLARDSON[lift, joint, rest_s], abs=SETS_WITHIN)


def test_the_first_set_is_of_eight() -> None:
    for joint in ("knee", "shoulder"):
        assert repeated_sets(joint, 60, sets=1) == 8


def test_the_bench_press_loses_more_to_short_rests_than_the_squat() -> None:
    assert sets_ratio("shoulder", 300) > sets_ratio("knee", 300)
