"""Strength of people: age by joint, sex, scatter. Danneskiold 2009, Sarabon 2021, Anderson 2007, Johnson 2004 and more.

The bands, their sources and flags: STRENGTH in docs/accuracy/endurance_studies.py.
"""

import numpy as np
import pytest
from endurance_studies import STRENGTH, Band, age_part, joint_correlation, joints_at_75, line_part, men_over_women

from everyrung.effort.people_strength import age_factors, joint_count, joints, motions, scatter, training_factor
from everyrung.tables.strength_of_people import age_rows, people_constant
from everyrung.terms.person import Experience, Sex

LINE = "a straight line from 25 loses less in later decades, and has lost more by 50"
MISSES: dict[str, str] = {
    "lost from 50 to 60, men": LINE,
    "part of the motions in which men have 1.5 to 2 times a woman's N m": "the arms and two joints of the legs only",
}


def marked(one: Band) -> object:
    why = MISSES.get(one.key)
    marks = [pytest.mark.xfail(strict=True, reason=f"a miss: {why}")] if why else []
    return pytest.param(one, marks=marks, id=one.key)


@pytest.mark.parametrize("one", [marked(one) for one in STRENGTH])
def test_what_was_measured(one: Band) -> None:
    assert one.met, f"{one.compute():.3f}"


def test_men_decline_from_25_and_women_from_40() -> None:
    # Danneskiold-Samsøe 2009 (V): the line, and with it every joint
    assert line_part(Sex.MALE, 25) == line_part(Sex.FEMALE, 40) == 1.0
    assert line_part(Sex.MALE, 40) < 1.0
    assert line_part(Sex.FEMALE, 50) < 1.0
    young = age_factors(np.array([True, False]), np.array([25.0, 40.0]))
    assert young == pytest.approx(np.ones_like(young))


def test_men_of_75_are_as_strong_as_hurley_s_decades_leave_them() -> None:
    # Hurley 1995 (V): flat to 50 at the latest, then 12 to 15 % a decade; two and a half decades (D)
    assert 0.85**2.5 <= line_part(Sex.MALE, 75) <= 0.88**2.5


def test_the_oldest_men_are_about_as_strong_as_the_youngest_women() -> None:
    # Danneskiold-Samsøe 2009 (V): "about": within a quarter; chosen, because nothing nearer is said
    ratios = line_part(Sex.MALE, 80) * men_over_women()
    assert float(ratios.mean()) == pytest.approx(1.0, abs=0.25)


def test_joints_age_as_they_were_measured_each_its_own_way() -> None:
    """Johnson 2004 (V), 38 women of each age: the hip loses 34 % outwards, 24 % inwards; Bradley 2023 and Stockholm's
    register (V): women's shoulders lose nothing to 59; Anderson 2007 (V2): the calf is kept best of the legs.
    """
    at_72 = {name: age_part(Sex.FEMALE, 72, name) for name in motions()}
    assert at_72["hip_abduction"] == pytest.approx(0.66, abs=0.03)
    assert at_72["hip_adduction"] == pytest.approx(0.76, abs=0.03)
    assert age_part(Sex.FEMALE, 55, "shoulder_flexion") == pytest.approx(1.0, abs=0.03)
    legs = {name: part for name, part in at_72.items() if name.startswith(("hip", "knee", "ankle"))}
    assert max(legs, key=legs.__getitem__) == "ankle_plantarflexion"


def test_what_few_people_showed_moves_a_joint_by_its_worth_only() -> None:
    """A joint lies between the line and what was found for it, nearer to what was found with less error."""
    for row in age_rows():
        if row.motion not in motions():
            continue
        line, part = line_part(row.sex, row.age), age_part(row.sex, row.age, row.motion)
        assert min(line, row.factor) - 1e-9 <= part <= max(line, row.factor) + 1e-9
        spread = people_constant("joints_log_sd")
        worth = spread**2 / (spread**2 + row.error_log_sd**2)
        assert np.log(part / line) == pytest.approx(worth * np.log(row.factor / line), abs=1e-9)


def test_a_joint_without_a_study_of_its_own_follows_the_line() -> None:
    for age in (30.0, 60.0, 85.0):
        assert age_part(Sex.MALE, age, "trunk_extension") == pytest.approx(line_part(Sex.MALE, age))
    assert joints_at_75(Sex.MALE).min() < line_part(Sex.MALE, 75) < joints_at_75(Sex.MALE).max()


def test_a_strong_person_is_strong_all_over_and_most_around_one_joint() -> None:
    near, far = joint_correlation("knee_extension", "knee_flexion"), joint_correlation("knee_extension", "grip")
    assert near > far > 0.3
    assert near == pytest.approx(people_constant("general_part") + people_constant("joint_part"), abs=0.02)
    assert far == pytest.approx(people_constant("general_part"), abs=0.02)


def test_each_motion_has_its_own_spread() -> None:
    rng = np.random.default_rng(2)
    count = 20_000
    drawn = scatter(
        rng.standard_normal(count),
        rng.standard_normal((count, joint_count())),
        rng.standard_normal((count, len(motions()))),
    )
    spread = np.log(drawn).std(axis=0)
    # Anderson 2007 (V2), SD over mean of both sexes: hip extension 0.30 and 0.26, knee flexion 0.17 and 0.19
    assert spread[motions().index("hip_extension")] == pytest.approx(0.28, abs=0.01)
    assert spread[motions().index("knee_flexion")] == pytest.approx(0.18, abs=0.01)
    assert len(dict.fromkeys(joints())) == joint_count() == 10


def test_training_is_within_what_two_years_bring() -> None:
    # ACSM 2009 (from memory): about 40 % in untrained people
    assert 1.0 == training_factor(Experience.NEW) < training_factor(Experience.REGULAR)
    assert training_factor(Experience.REGULAR) < training_factor(Experience.STRONG) <= 1.40
