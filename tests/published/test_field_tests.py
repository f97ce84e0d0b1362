"""Whole tests of ordinary people: body model, fatigue and scatter together against published norms.

Sources and flags: FIELD_TESTS in docs/accuracy/endurance_studies.py. Within 0.6 and 1.6 of the published middle counts
as met. The field factors were derived from heel rises and push-ups at 45 years: those rows are no check.
"""

import pytest
from endurance_studies import (
    CHAIR,
    CHAIR_LEAST,
    FIELD_TESTS,
    SECOND_EACH,
    SORENSEN_S,
    SORENSEN_SD,
    FieldTest,
    capacity,
    field_row,
    left_at_65,
    side_plank,
    sorensen_s,
    stopped_by,
)

from everyrung.body import sharing
from everyrung.terms.body import Sex

CASES = [(test, sex, age) for test in FIELD_TESTS for sex, age in test.published]
PRESS = "forearm and feet are pressed together, which the shoulder's one torque pays for"
MISSES = {
    ("heel rise", Sex.FEMALE, 65): "9 for 19; the standing hip stops two in three",
    ("push-up from the knees", Sex.FEMALE, 65): "5 for 8.5: near the end of strength a little makes much",
    ("side plank", Sex.MALE, 25): f"38 s for 95 s: {PRESS}",
    ("side plank", Sex.FEMALE, 25): f"8 s for 69 s: {PRESS}",
}
FALL_MISSES = {
    ("heel rise", Sex.FEMALE): "0.50 of those at 25 are left, published 0.63",
    ("push-up from the knees", Sex.FEMALE): "0.31 of those at 25 are left, published 0.50",
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


@pytest.mark.xfail(strict=True, reason="a miss: the standing hip stops 55 % of men and 69 % of women")
@pytest.mark.parametrize("sex", list(Sex))
def test_heel_rises_are_stopped_by_the_calf(sex: Sex) -> None:
    # Hébert-Losier 2017 (V): the test is of the plantar flexors
    assert stopped_by("calf-raise/one-foot", SECOND_EACH, sex, 45)[0] == "ankle plantarflexion"


@pytest.mark.parametrize("sex", list(Sex))
def test_three_in_four_people_of_67_get_out_of_a_chair_often_enough(sex: Sex) -> None:
    # 30-second chair stand, 25th percentile at 65 to 69 years (Rikli and Jones 1999; V2): three in four do so many in
    # 30 s without having come to their end
    assert capacity(CHAIR, SECOND_EACH, sex, 67, part=25.0) >= CHAIR_LEAST[sex]


def test_a_back_held_level_lasts_as_long_as_measured() -> None:
    # 28 healthy young women: 158 +- 45 s (J Sport Rehabil 12(3):199, V)
    assert sorensen_s() == pytest.approx(SORENSEN_S, abs=SORENSEN_SD)


@pytest.mark.parametrize("sex", list(Sex))
def test_the_side_plank_is_missed_by_how_its_load_is_shared(sex: Sex) -> None:
    """Not by its pose: statics by hand say so. Held here, so that the page's reason stays true."""
    before, one = sharing.GENERATOR_WEIGHT, side_plank(sex, 1.0)
    assert one.elbow_off_m < 0.005  # straight under the shoulder: weight alone turns nothing there
    assert one.push_n * one.below_m == pytest.approx(one.shoulder_nm, rel=0.05)  # the push alone makes the moment
    shared = side_plank(sex, 10.0)
    assert shared.shoulder < one.shoulder
    assert shared.trunk > one.trunk
    assert shared.seconds > 2 * one.seconds
    assert before == sharing.GENERATOR_WEIGHT  # nothing is left changed for other tests
