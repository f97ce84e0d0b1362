"""Repeated sets with rests: Willardson and Burkett 2005, J Strength Cond Res 19:23-26 (seen second-hand).

Trained men, four sets to failure with an 8RM: totals against those with a minute's rest.
"""

import pytest
from endurance_studies import repeated_sets

WITHIN = 0.12  # of the first total; set before looking


@pytest.mark.parametrize(
    ("joint", "rest_s", "published"),
    [("knee", 120, 1.14), ("knee", 300, 1.28), ("shoulder", 120, 1.26), ("shoulder", 300, 1.50)],
    ids=["squat, 2 min", "squat, 5 min", "bench press, 2 min", "bench press, 5 min"],
)
def test_longer_rests_bring_as_many_more_repetitions(joint: str, rest_s: float, published: float) -> None:
    assert repeated_sets(joint, rest_s) / repeated_sets(joint, 60) == pytest.approx(published, abs=WITHIN + 0.005)


def test_the_bench_press_loses_more_to_short_rests_than_the_squat() -> None:
    lost = [repeated_sets(joint, 300) / repeated_sets(joint, 60) for joint in ("shoulder", "knee")]
    assert lost[0] > lost[1]
