"""Passive moments at the ends of the joints' ranges push back, and only there."""

from typing import Any

import numpy as np
import pytest

from everyrung.body.configuration import upright
from everyrung.body.coordinates import COORDINATES, ROOT, coordinate_names
from everyrung.body.joint_strength import ONSET

NAMES = coordinate_names()


@pytest.mark.parametrize("name", NAMES)
def test_an_end_pushes_back_with_the_tables_moment(woman: Any, name: str) -> None:
    at, limits = NAMES.index(name), woman.limits
    for end, back in ((limits.high[at], -1), (limits.low[at], 1)):
        push = limits.moments(upright(**{name: end}))[6 + at]
        assert push == pytest.approx(back * limits.end_nm[at])
        assert limits.moments(upright(**{name: end + back * (ONSET + 1e-9)}))[6 + at] == 0
        assert abs(limits.moments(upright(**{name: end - back * 0.1}))[6 + at]) > limits.end_nm[at]


def test_nothing_pushes_in_the_neutral_stand(woman: Any) -> None:
    standing = dict(zip(NAMES, woman.limits.moments(upright())[6:], strict=True))
    assert {name.rsplit("_", 1)[0] for name, push in standing.items() if push} == {"knee_flexion", "elbow_flexion"}
    assert max(abs(push) for push in standing.values()) < 1.0  # knees and elbows stand 10 degrees from their ends


def test_far_past_the_end_the_moment_stays_finite(woman: Any) -> None:
    q_ind = upright()
    q_ind[ROOT:] = 1e6
    assert np.isfinite(woman.limits.moments(q_ind)).all()


def test_every_coordinate_has_a_range(woman: Any) -> None:
    assert len(woman.limits.low) == len(COORDINATES)
    assert (woman.limits.low < 0).all()
    assert (woman.limits.high > 0).all()
