"""Strength of people: age, sex, scatter. Danneskiold 2009, Sarabon 2021, Hurley 1995, Dodds 2014, Harbo 2012."""

import numpy as np
import pytest

from everyrung.body.strengths import strength_mass_kg, strengths
from everyrung.effort.audience import audience
from everyrung.effort.mix import read_mix
from everyrung.effort.strength import age_factor, grip_kg, motions, training_factor
from everyrung.tables.anthropometry import measure
from everyrung.terms.body import BodySize, Sex
from everyrung.terms.participant import Experience


def at(sex: Sex, age: float) -> float:
    return float(age_factor(np.array([sex is Sex.MALE]), np.array([age]))[0])


@pytest.mark.parametrize(("sex", "low", "high"), [(Sex.MALE, 0.54, 0.89), (Sex.FEMALE, 0.48, 0.92)])
def test_strength_at_75_is_what_danneskiold_found(sex: Sex, low: float, high: float) -> None:
    assert low <= at(sex, 75) <= high  # V, by muscle group


def test_men_decline_from_25_and_women_from_40() -> None:
    assert at(Sex.MALE, 25) == at(Sex.FEMALE, 40) == 1.0  # Danneskiold 2009 (V)
    assert at(Sex.MALE, 40) < 1.0


@pytest.mark.parametrize(
    ("sex", "low", "high"), [(Sex.MALE, 1.74 / 3.45, 2.16 / 2.92), (Sex.FEMALE, 1.40 / 2.74, 1.64 / 2.08)]
)
def test_older_people_s_knees_are_as_strong_as_pooled(sex: Sex, low: float, high: float) -> None:
    # Sarabon 2021 (V), mid-range knee extension, older over adult: the extremes of both confidence intervals
    assert low <= at(sex, 72) <= high


def test_the_decline_after_50_is_slower_than_hurley_s() -> None:
    # Hurley 1995 (V): 12 to 15 % a decade; a straight line from 25 loses 7 % a decade of the peak before 50 already
    a_decade = 1 - at(Sex.MALE, 70) / at(Sex.MALE, 60)
    assert 0.05 < a_decade < 0.12


def test_men_are_one_and_a_half_to_twice_as_strong_in_most_joints() -> None:
    # Danneskiold 2009 (V), N m of ordinary men and women
    sizes = {
        sex: BodySize(sex=sex, stature_m=measure(sex, "stature").mean, mass_kg=24 * measure(sex, "stature").mean ** 2)
        for sex in Sex
    }
    man, woman = (strengths(sizes[sex]).greatest_nm for sex in (Sex.MALE, Sex.FEMALE))
    ratios = man / woman
    assert ((ratios >= 1.5) & (ratios <= 2.0)).mean() > 0.5


def test_grips_are_the_british_medians() -> None:
    assert (grip_kg(Sex.MALE), grip_kg(Sex.FEMALE)) == (51, 31)  # Dodds 2014 (V)


def test_training_is_within_what_two_years_bring() -> None:
    # ACSM 2009 (from memory): about 40 % in untrained people
    assert 1.0 == training_factor(Experience.NEW) < training_factor(Experience.REGULAR)
    assert training_factor(Experience.STRONG) == pytest.approx(1.40)


MISSED = pytest.mark.xfail(strict=True, reason="a miss: 0.32, so men scatter a little too little")
MEN = pytest.param(True, 0.20, 0.29, id="men", marks=MISSED)


@pytest.mark.parametrize(("male", "low", "high"), [MEN, pytest.param(False, 0.25, 0.38, id="women")])
def test_age_stature_and_mass_explain_as_little_as_harbo_found(male: bool, low: float, high: float) -> None:
    # Harbo 2012 (V): 178 people of 15 to 83 years, trained or not; r2 of each muscle group within the sex. Here the
    # knee's extension of 20,000 people of the open class, whose ages reach from 16 to 85
    people = list(audience(read_mix("open-class"), 20_000, 7, 0.5))
    column = motions().index("knee_extension")
    sex = Sex.MALE if male else Sex.FEMALE
    rows = [(one.age, one.stature_m, one.mass_kg, one.strength[:, column], one.male) for one in people]
    age, stature, mass, factor, is_male = (np.concatenate([row[part] for row in rows]) for part in range(5))
    chosen = is_male == male
    kg = np.array(
        [
            strength_mass_kg(BodySize(sex=sex, stature_m=s, mass_kg=m))
            for s, m in zip(stature[chosen], mass[chosen], strict=True)
        ]
    )
    strength = factor[chosen] * kg
    given = np.column_stack([np.ones(chosen.sum()), age[chosen], stature[chosen], mass[chosen]])
    fitted = given @ np.linalg.lstsq(given, strength, rcond=None)[0]
    explained = 1 - ((strength - fitted) ** 2).sum() / ((strength - strength.mean()) ** 2).sum()
    assert low <= explained <= high, f"{explained:.2f}"
