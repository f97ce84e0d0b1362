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
from everyrung.tables.reader import Row, read_table
from everyrung.tables.strength import strength_row, strength_rows
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


FEW = "12 of 30: men have 1.1 to 1.4 times a woman's N m at hip, trunk and calf, where each joint's own study has that"


@pytest.mark.xfail(strict=True, reason=f"a miss since joints have their own ratio: {FEW}")
def test_men_are_stronger_st07() -> None:
    """Danneskiold-Samsøe 2009: most muscle groups 1.5 to 2.0 times, in N m; Anderson 2007's hips speak against it."""
    assert float(np.mean([1.5 <= ratio <= 2.0 for ratio in sex_ratios().values()])) > 0.5


def sex_ratios() -> dict[str, float]:
    """N m of an ordinary man over those of an ordinary woman, by motion without sides."""
    men, women = (body(sex).strengths for sex in (Sex.MALE, Sex.FEMALE))
    every = zip(men.motions, men.greatest_nm, women.greatest_nm, strict=True)
    return {name: float(m / w) for name, m, w in every if not name.endswith("_left") or name.startswith("trunk")}


def test_men_are_stronger_everywhere_and_in_the_arms_most() -> None:
    ratios = sex_ratios()
    assert len(ratios) == 30
    assert min(ratios.values()) > 1.0
    arms = [ratio for name, ratio in ratios.items() if name.startswith(("shoulder", "elbow", "forearm"))]
    assert min(arms) > 1.5
    assert max(arms) <= 2.0


ANDERSON = {  # Anderson 2007, table 3 (V2), young: N m over body weight x stature; peak, degrees; width
    ("hip_extension_right", Sex.MALE): (0.161, 53.4, 0.958),  # NU21
    ("hip_extension_right", Sex.FEMALE): (0.181, 71.2, 0.697),  # NU22
    ("hip_flexion_right", Sex.MALE): (0.113, None, None),
    ("hip_flexion_right", Sex.FEMALE): (0.127, None, None),
    ("ankle_dorsiflexion_right", Sex.MALE): (0.033, -10.7, 1.510),
    ("ankle_dorsiflexion_right", Sex.FEMALE): (0.027, -17.3, 1.079),
    ("knee_extension_right", Sex.MALE): (None, 64.9, 1.258),
    ("knee_extension_right", Sex.FEMALE): (None, 73.0, 1.187),
}


@pytest.mark.parametrize(("motion", "sex"), ANDERSON)
def test_joints_and_their_curves_are_anderson_s(motion: str, sex: Sex) -> None:
    greatest, peak_deg, width = ANDERSON[motion, sex]
    model = body(sex)
    at = model.strengths.motions.index(motion)
    if greatest:
        scaled = model.strengths.greatest_nm[at] / (9.81 * model.size.mass_kg * model.size.stature_m)
        assert scaled == pytest.approx(greatest, rel=0.02)
    if peak_deg and width:
        assert np.degrees(model.strengths.peak[at]) == pytest.approx(peak_deg, abs=0.5)
        assert model.strengths.width[at] == pytest.approx(width, rel=0.01)


def test_women_s_hips_are_as_strong_as_men_s_by_their_size_nu23() -> None:
    man, woman = (body(sex) for sex in (Sex.MALE, Sex.FEMALE))
    scaled = [
        one.strengths.greatest_nm[one.strengths.motions.index("hip_extension_right")]
        / (one.size.mass_kg * one.size.stature_m)
        for one in (man, woman)
    ]
    assert scaled[1] / scaled[0] == pytest.approx(1.12, abs=0.02)


def test_women_s_trunk_upright_nu14_nu15() -> None:
    """Rantanen 1994 (V): 182.2 and 117.0 N m, 16 women; 63.6 kg here, and within 10 %, for theirs is unknown."""
    kg = body(Sex.FEMALE).size.mass_kg
    assert strength(Sex.FEMALE, "trunk_extension") == pytest.approx(182.2, rel=0.1), kg
    assert strength(Sex.FEMALE, "trunk_flexion") == pytest.approx(117.0, rel=0.1), kg


def test_the_shoulder_lifts_as_in_three_postures() -> None:
    """89.9 and 68.6 N m at 0 and 45 degrees, 26 young men (V), who are taken to weigh 76 kg; women half of it."""
    men, women = (
        [strength(sex, "shoulder_flexion_right", shoulder_flexion_right=angle) for angle in (0, 45)]
        for sex in (Sex.MALE, Sex.FEMALE)
    )
    assert men == pytest.approx([89.9 * 74 / 76, 68.6 * 74 / 76], rel=0.1)
    assert sum(women) / sum(men) == pytest.approx(0.5, abs=0.06)


def test_shoulder_s_ratios_nu12() -> None:
    """Arch Phys Med Rehabil 1985 (V): extension 5:4 of flexion in mid-range, turning in 3:2 of turning out; adduction
    2:1 of abduction with the arm's weight, 0.15 N m/kg at its side, helping one and hindering the other.
    """
    man = body(Sex.MALE)
    greatest = {
        name: float(nm / man.size.mass_kg)
        for name, nm in zip(man.strengths.motions, man.strengths.greatest_nm, strict=True)
    }
    at_45 = strength(Sex.MALE, "shoulder_flexion_right", shoulder_flexion_right=45) / man.size.mass_kg
    assert greatest["shoulder_extension_right"] / at_45 == pytest.approx(1.25, abs=0.12)
    turns = greatest["shoulder_rotation_in_right"] / greatest["shoulder_rotation_out_right"]
    assert turns == pytest.approx(1.5, abs=0.05)
    sideways = (greatest["shoulder_adduction_right"] + 0.15) / (greatest["shoulder_abduction_right"] - 0.15)
    assert sideways == pytest.approx(2.0, abs=0.1)


def test_women_s_elbow_nu11() -> None:
    # 40.5 +- 8.3 N m, 15 young women (V)
    assert 32.2 <= strength(Sex.FEMALE, "elbow_flexion_right", elbow_flexion_right=85) <= 48.8


def test_hip_abduction_is_more_than_athletes_have_in_motion_nu27() -> None:
    # Sugimoto 2014 (V): 1.29 +- 0.24 and 1.13 +- 0.20 N m/kg at 60 degrees a second, which is less than held
    for sex, least in ((Sex.MALE, 1.29), (Sex.FEMALE, 1.13)):
        assert strength(sex, "hip_abduction_right") / body(sex).size.mass_kg > least
    ratio = sex_ratios()["hip_abduction_right"] * 63.6 / 74.0
    assert 1 / ratio == pytest.approx(1.13 / 1.29, abs=0.02)


def test_hamstrings_pull_harder_with_the_hip_bent() -> None:
    """Guex 2012: knee flexion torque rises with hip flexion (0 < 90 degrees)."""
    assert knee(Sex.MALE, 1, 40, hip=90) > knee(Sex.MALE, 1, 40, hip=0)


def test_what_is_from_memory_says_so_and_is_given_a_wide_error() -> None:
    rows = strength_rows()
    memory = {row.motion for row in rows if row.flag.startswith("M")}
    assert memory == {
        *("hip_rotation_in", "hip_rotation_out", "trunk_bend_left", "trunk_bend_right"),
        *("trunk_turn_left", "trunk_turn_right", "forearm_pronation", "forearm_supination"),
    }
    assert min(row.error_log_sd for row in rows if row.motion in memory) > max(
        row.error_log_sd for row in rows if row.motion not in memory
    )
    model = body(Sex.MALE)
    marked = {m for m, memory in zip(model.strengths.motions, model.strengths.from_memory, strict=True) if memory}
    assert {name.removesuffix("_left").removesuffix("_right") for name in marked} == {
        name.removesuffix("_left").removesuffix("_right") for name in memory
    }


@pytest.mark.parametrize(
    ("cells", "column", "said"),
    [
        ({"male": "2.8O"}, "male", "expected a number from 0.01 to 8, got '2.8O'"),
        ({"male": "28"}, "male", "got '28'"),
        ({"flag": "W"}, "flag", "expected one of C, D, M, M-, V, V2, got 'W'"),
        ({"by": "fited"}, "by", "nearest: fitted"),
        ({"male_width": None}, "male_width", "expected a cell, got none"),
    ],
)
def test_a_wrong_cell_is_said_with_its_place(cells: dict[str, str | None], column: str, said: str) -> None:
    known = read_table("joint_strength").rows[0] | cells
    row = Row(
        table="joint_strength", number=1, cells={name: value for name, value in known.items() if value is not None}
    )
    with pytest.raises(ValueError, match=r"joint_strength\.csv, row 1 \(hip_extension\), column") as found:
        strength_row(row)
    assert f"column {column}" in str(found.value)
    assert said in str(found.value)
