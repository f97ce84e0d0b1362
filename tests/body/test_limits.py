"""Passive moments at the ends of the joints' ranges push back, and only there."""

from typing import Any

import numpy as np
import pytest

from everyrung.body.configuration import upright
from everyrung.body.coordinates import COORDINATES, ROOT, coordinate_names
from everyrung.body.joint_strength import FAINT, limits
from everyrung.tables.strength import tight_ends
from everyrung.terms.person import BodySize, Sex

NAMES = coordinate_names()


@pytest.mark.parametrize("name", NAMES)
def test_an_end_pushes_back_with_the_tables_moment(woman: Any, name: str) -> None:
    at, ends = NAMES.index(name), woman.limits
    for end, back, most_nm, steep in (
        (ends.high[at], -1, ends.high_nm[at], ends.high_per_rad[at]),
        (ends.low[at], 1, ends.low_nm[at], ends.low_per_rad[at]),
    ):
        assert ends.moments(upright(**{name: end}))[6 + at] == pytest.approx(back * most_nm)
        begins = end + back * -np.log(FAINT) / steep
        assert ends.moments(upright(**{name: begins + back * 1e-9}))[6 + at] == 0
        assert abs(ends.moments(upright(**{name: end - back * 0.1}))[6 + at]) > most_nm


def test_measured_ends_are_anderson_s_exponentials() -> None:
    """Anderson 2007, table 3 (V2), young men and women: b exp(k a), N m; here less the faint part, 5 % of the end's."""
    ankle = {Sex.MALE: (0.967, 6.09), Sex.FEMALE: (0.47, 6.425)}
    for sex, (factor_nm, per_rad) in ankle.items():
        stature_m, mass_kg = {Sex.MALE: (1.756, 74.0), Sex.FEMALE: (1.628, 63.6)}[sex]
        ends = limits(BodySize(sex=sex, stature_m=stature_m, mass_kg=mass_kg))
        at = NAMES.index("ankle_dorsiflexion_left")
        for degrees in (25, 30, 38):
            push = ends.moments(upright(ankle_dorsiflexion_left=np.radians(degrees)))[6 + at]
            assert push == pytest.approx(-factor_nm * np.exp(per_rad * np.radians(degrees)), abs=3.0)
    assert set(tight_ends()) == {("hip_flexion", "low"), ("knee_flexion", "low"), ("ankle_dorsiflexion", "high")}


def test_little_pushes_in_the_neutral_stand(woman: Any) -> None:
    standing = dict(zip(NAMES, woman.limits.moments(upright())[6:], strict=True))
    pushed = {name.rsplit("_", 1)[0] for name, push in standing.items() if push}
    assert pushed == {"hip_flexion", "knee_flexion", "elbow_flexion"}
    assert max(abs(push) for push in standing.values()) < 8.1  # a straight knee, Anderson 2007: 6.3 and 8.0 N m


def test_far_past_the_end_the_moment_stays_finite(woman: Any) -> None:
    q_ind = upright()
    q_ind[ROOT:] = 1e6
    assert np.isfinite(woman.limits.moments(q_ind)).all()


def test_every_coordinate_has_a_range(woman: Any) -> None:
    assert len(woman.limits.low) == len(COORDINATES)
    assert (woman.limits.low < 0).all()
    assert (woman.limits.high > 0).all()
