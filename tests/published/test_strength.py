"""Joint strength of the model against published dynamometry, within each study only.

Sources: Sarabon 2021, Front Physiol (PMC8554160), pooled 95 % intervals of the mean of 411 studies; Danneskiold-Samsoe
2009, Acta Physiol 197 Suppl 673; Guex 2012, J Athl Train 47(4):390. The knee values scale the muscles (bodies.py),
so ST01 to ST03 check that the scaling arrives in the model; angles, sexes and positions were not fitted.
"""

from typing import Any

import numpy as np
import pytest

from everyrung.body.bodies import body_model
from everyrung.body.configuration import Configuration, freedom, upright
from everyrung.body.static_optimization import max_muscle_torques
from everyrung.tables.reader import read_table
from everyrung.terms.person import BodySize, Sex

ORDINARY = {Sex.MALE: (1.76, 24 * 1.76**2), Sex.FEMALE: (1.63, 24 * 1.63**2)}


def body(sex: Sex) -> Any:
    stature_m, mass_kg = ORDINARY[sex]
    return body_model(BodySize(sex=sex, stature_m=stature_m, mass_kg=mass_kg))


def muscle_moment(sex: Sex, coordinate: str, sign: int, **degrees: float) -> float:
    """All muscles that turn this way pulling their hardest, N m per kg."""
    model = body(sex)
    configuration = Configuration(model, upright(**{name: np.radians(angle) for name, angle in degrees.items()}))
    turn = sign * max_muscle_torques(configuration)[freedom(coordinate)]
    return float(np.maximum(turn, 0).sum() / model.size.mass_kg)


def knee(sex: Sex, sign: int, angle: float, hip: float = 85.0) -> float:
    return muscle_moment(sex, "knee_flexion_right", sign, knee_flexion_right=angle, hip_flexion_right=hip)


@pytest.mark.parametrize(
    ("sex", "sign", "angle", "low", "high"),
    [(Sex.MALE, -1, 65, 2.92, 3.45), (Sex.FEMALE, -1, 65, 2.08, 2.74), (Sex.MALE, 1, 50, 1.15, 1.62)],
    ids=["ST01", "ST02", "ST03"],
)
def test_knee_mid_range(sex: Sex, sign: int, angle: float, low: float, high: float) -> None:
    assert low <= knee(sex, sign, angle) <= high


def strength(sex: Sex, motion: str, **degrees: float) -> float:
    model = body(sex)
    angles = {name: np.radians(angle) for name, angle in degrees.items()}
    return float(model.strengths.at(upright(**angles))[model.strengths.motions.index(motion)])


def test_knee_strength_by_angle_st06() -> None:
    """Men: mid-range > flexed > extended; the extended mean is 0.56 of the mid-range one (1.34-2.23 N m/kg)."""
    extended, middle, flexed = (
        strength(Sex.MALE, "knee_extension_right", knee_flexion_right=angle) for angle in (20, 65, 95)
    )
    assert middle > flexed > extended
    assert 1.34 <= extended / body(Sex.MALE).size.mass_kg <= 2.23
    assert 2.50 <= flexed / body(Sex.MALE).size.mass_kg <= 3.06


def test_the_muscles_themselves_keep_that_order() -> None:
    extended, middle, flexed = (knee(Sex.MALE, -1, angle) for angle in (20, 65, 95))
    assert middle > flexed > extended


def test_men_are_stronger_st07() -> None:
    """Most muscle groups 1.5 to 2.0 times, in N m."""
    motions = [row["motion"] for row in read_table("joint_strength").rows]
    men, women = (body(sex).strengths for sex in (Sex.MALE, Sex.FEMALE))
    ratios = [m / w for m, w in zip(men.greatest_nm, women.greatest_nm, strict=True)]
    inside = sum(1.5 <= ratio <= 2.0 for ratio in ratios)
    assert len(motions) == 30
    assert inside / len(ratios) > 0.5
    assert min(ratios) > 1.3


def test_hamstrings_pull_harder_with_the_hip_bent() -> None:
    """Guex 2012: knee flexion torque rises with hip flexion (0 < 90 degrees)."""
    assert knee(Sex.MALE, 1, 40, hip=90) > knee(Sex.MALE, 1, 40, hip=0)


def test_what_is_from_memory_says_so() -> None:
    rows = read_table("joint_strength").rows
    assert {row["flag"] for row in rows} <= {"V", "D", "M", "M-"}
    assert all(row["source"] for row in rows)
    known = {row["motion"] for row in rows if not row["flag"].startswith("M")}
    assert known == {"knee_extension", "knee_flexion"}
    model = body(Sex.MALE)
    certain = {m for m, memory in zip(model.strengths.motions, model.strengths.from_memory, strict=True) if not memory}
    assert certain == {f"{motion}_{side}" for motion in known for side in ("left", "right")}
