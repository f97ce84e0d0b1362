"""Whole tests of ordinary people: body model, fatigue and scatter together against published norms.

Sources and flags: FIELD_TESTS in docs/accuracy/whole_tests.py. Within 0.6 and 1.6 of the published middle counts
as met. Two field factors were derived from heel rises and push-ups at 45 years: those rows are no check.
"""

import math
from pathlib import Path

import pytest
from endurance_studies import ordinary
from whole_tests import (
    CHAIR,
    CHAIR_LEAST,
    DERIVED,
    DERIVED_AT,
    FIELD_TESTS,
    SECOND_EACH,
    SORENSEN_S,
    SORENSEN_SD,
    FieldTest,
    capacity,
    field_row,
    left_at_65,
    level_back_nm,
    sorensen_s,
    stopped_by,
)

from everyrung.body.inverse_dynamics import GRAVITY
from everyrung.effort.uncertainty import COUNT_LOG_ERROR, MEDIANS, OVERSTATED, how_good
from everyrung.terms.person import Sex

ROOT = Path(__file__).parents[2]
CASES = [(test, sex, age) for test in FIELD_TESTS for sex, age in test.published]
MISSES: dict[tuple[str, Sex, int], str] = {}
FALL_MISSES = {
    ("heel rise", Sex.FEMALE): "0.75 of those at 25 are left, published 0.63",
    ("heel rise", Sex.MALE): "0.79 of those at 25 are left, published 0.51: Anderson 2007 has no decline of the calf",
    ("push-up", Sex.MALE): "0.61, published 0.48: two studies found shoulders to lose next to nothing before 60",
}
FALLS = [(test, sex) for test in FIELD_TESTS for sex in Sex if (sex, 65) in test.published]


def miss(why: str | None) -> list[pytest.MarkDecorator]:
    return [pytest.mark.xfail(strict=True, reason=f"a miss: {why}")] if why else []


def marked(test: FieldTest, sex: Sex, age: int) -> object:
    return pytest.param(
        test, sex, age, marks=miss(MISSES.get((test.key, sex, age))), id=f"{test.key}, {sex}, {age}"
    )  # fmt: skip


@pytest.mark.parametrize(("test", "sex", "age"), [marked(*case) for case in CASES])
def test_ordinary_people_do_as_many_as_were_counted(test: FieldTest, sex: Sex, age: int) -> None:
    published, computed, met = field_row(test, sex, age)
    assert met, f"{computed:.0f} for {published:g}"


def test_push_ups_of_both_sexes_at_45_are_in_the_middle_of_the_norm_together() -> None:
    """What the arms' factor was derived from: the geometric mean of men's ratio and women's is 1
    to within a repetition. No check of the model; it holds the constant to its derivation."""
    tests = {test.key: test for test in FIELD_TESTS}
    pairs = [(tests["push-up"], Sex.MALE), (tests["push-up from the knees"], Sex.FEMALE)]
    ratios = [computed / published for published, computed, _ in (field_row(*pair, 45) for pair in pairs)]
    assert math.prod(ratios) ** 0.5 == pytest.approx(1.0, abs=0.05)


@pytest.mark.parametrize(
    ("test", "sex"),
    [
        pytest.param(test, sex, marks=miss(FALL_MISSES.get((test.key, sex))), id=f"{test.key}, {sex}")
        for test, sex in FALLS
    ],
)
def test_people_lose_with_age_what_was_measured(test: FieldTest, sex: Sex) -> None:
    # the level was derived at 45 years; the fall from 25 to 65 is what is checked here
    published, computed, met = left_at_65(test, sex)
    assert met, f"{computed:.2f} for {published:.2f}"


def test_heel_rises_of_both_sexes_at_45_are_in_the_middle_of_the_norm_together() -> None:
    """What the ankle's factor was derived from; no check of the model, it holds the constant to its derivation."""
    test = next(each for each in FIELD_TESTS if each.key == "heel rise")
    ratios = [computed / published for published, computed, _ in (field_row(test, sex, 45) for sex in Sex)]
    assert math.prod(ratios) ** 0.5 == pytest.approx(1.0, abs=0.05)


@pytest.mark.parametrize("sex", list(Sex))
def test_heel_rises_with_fingertips_on_a_wall_are_stopped_by_the_calf(sex: Sex) -> None:
    # Hébert-Losier 2017 (V): the test is of the plantar flexors, and people steady themselves
    assert stopped_by("calf-raise/one-foot", SECOND_EACH, sex, 45, steadied=True)[0] == "ankle plantarflexion"


def test_without_a_wall_the_standing_hip_stops_many() -> None:
    for sex in Sex:
        alone = capacity("calf-raise/one-foot", SECOND_EACH, sex, 45)
        assert alone <= capacity("calf-raise/one-foot", SECOND_EACH, sex, 45, steadied=True)


@pytest.mark.parametrize("sex", list(Sex))
def test_three_in_four_people_of_67_get_out_of_a_chair_often_enough(sex: Sex) -> None:
    # 30-second chair stand, 25th percentile at 65 to 69 years (Rikli and Jones 1999; V2): three in four do so many in
    # 30 s without having come to their end
    assert capacity(CHAIR, SECOND_EACH, sex, 67, part=25.0) >= CHAIR_LEAST[sex]


@pytest.mark.xfail(
    strict=True, reason="a miss: 301 s, its moment is the mean over the lumbar joints, its strength at one"
)
def test_a_back_held_level_lasts_as_long_as_measured() -> None:
    # 28 healthy young women: 158 +- 45 s (J Sport Rehabil 12(3):199, V)
    assert sorensen_s() == pytest.approx(SORENSEN_S, abs=SORENSEN_SD)


def test_a_level_back_bears_most_at_its_lowest_joint_as_half_of_the_body_weighs_there() -> None:
    # statics: half of the body's weight a tenth of the stature ahead of the joint is less, a fifth of it more
    for sex in Sex:
        mean_nm, lowest_nm, _ = level_back_nm(sex)
        size = ordinary(sex)
        assert mean_nm < lowest_nm
        assert 0.10 < lowest_nm / (0.5 * size.mass_kg * GRAVITY * size.stature_m) < 0.20


def test_the_readme_and_the_page_say_the_same_in_one_sentence() -> None:
    said = how_good().removeprefix("How good is this? In ")
    for name in ("README.md", "docs/accuracy-audience.md"):
        assert said.split(";")[0] in " ".join((ROOT / name).read_text(encoding="utf-8").split()), name


def test_the_model_s_error_is_what_the_tests_leave_over() -> None:
    ratios = {(test.key, sex, age): computed / published
              for test, sex, age in CASES for published, computed, _ in (field_row(test, sex, age),)}  # fmt: skip
    logs = [math.log(ratio) for (key, _, age), ratio in ratios.items() if not (key in DERIVED and age == DERIVED_AT)]
    assert len(logs) == MEDIANS
    assert math.sqrt(sum(each**2 for each in logs) / len(logs)) == pytest.approx(COUNT_LOG_ERROR, abs=0.01)
    assert [case for case, ratio in ratios.items() if ratio > OVERSTATED] == []
