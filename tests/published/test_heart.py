"""Heart rate and training load against published formulas and worked examples (checks.csv HR01 to HR06)."""

import math

import pytest
from endurance_studies import FRIEND, FRIEND_WITHIN, HEART, Band, capacity_off

from everyrung.effort.heart import (
    NO_JUDGEMENT,
    band_of_rates,
    banister,
    constants,
    edwards,
    gellish_bpm,
    greatest,
    heart_words,
    karvonen_bpm,
    predict_heart_rate,
    reserve_part,
    tanaka_bpm,
)
from everyrung.terms.person import Sex


def test_tanaka_at_20_to_70_years() -> None:
    # HR01, Tanaka 2001 (V2)
    assert [tanaka_bpm(age) for age in range(20, 71, 10)] == pytest.approx([194, 187, 180, 173, 166, 159])


def test_gellish_and_fox() -> None:
    assert gellish_bpm(0) == 207  # HR02, Gellish 2007 (V)
    assert tanaka_bpm(40) == 220 - 40  # Fox 220 - age (V) crosses Tanaka at 40


def test_the_band_is_as_wide_as_people_differ() -> None:
    # HR03: standard deviation 10 to 12 (V)
    assert 10 <= constants()["greatest_sd"] <= 12
    found = greatest(50)
    assert found.low_bpm == 172 - 10
    assert found.high_bpm == 173 + 10


def test_karvonen_s_worked_example() -> None:
    # age 40, rest 65, at .4, .6 and .9 of the reserve: 111, 134, 168 (D)
    assert [round(karvonen_bpm(65, 180, part)) for part in (0.4, 0.6, 0.9)] == [111, 134, 168]
    assert reserve_part(karvonen_bpm(65, 180, 0.6), 65, 180) == pytest.approx(0.6)


@pytest.mark.parametrize(
    ("minutes", "rates", "sex", "load"),
    [
        (60, (155, 55, 190), Sex.MALE, 117.94),  # HR04
        (60, (155, 55, 190), Sex.FEMALE, 131.69),  # HR05
        (20, (135, 65, 180), Sex.MALE, 25.07),
        (20, (135, 65, 180), Sex.FEMALE, 28.93),
    ],
)
def test_banister_s_worked_examples(minutes: float, rates: tuple[int, int, int], sex: Sex, load: float) -> None:
    assert banister(minutes, *rates, sex) == pytest.approx(load, abs=0.006)


def test_a_woman_s_greatest_load_a_minute_is_4_57() -> None:
    # with the men's 0.64 it would be 3.4: a trap of some pages
    assert banister(1, 190, 55, 190, Sex.FEMALE) == pytest.approx(4.57, abs=0.005)


def test_edwards_worked_example() -> None:
    assert edwards([5, 8, 5, 2, 0]) == 44  # HR06


@pytest.mark.parametrize("one", HEART, ids=lambda one: one.key)
def test_the_page_s_examples(one: Band) -> None:
    assert one.met, f"{one.compute():.3f}"


@pytest.mark.parametrize("sex", list(Sex))
def test_capacity_at_both_ends_is_the_registry_s_median(sex: Sex) -> None:
    # Kaminsky 2015 (V): 48.0 and 37.6 in the 20s, 24.4 and 18.3 in the 70s, ml/kg/min; copied, so only the ends hold
    assert [capacity_off(sex, age) for age in (25, 75)] == pytest.approx([0, 0], abs=1e-9)


HIGH = pytest.mark.xfail(strict=True, reason="a miss: the line is 11 to 12 % above women's medians between its ends")


@pytest.mark.parametrize("age", [35, 45, 55, 65])
@pytest.mark.parametrize("sex", [Sex.MALE, pytest.param(Sex.FEMALE, marks=HIGH)])
def test_capacity_between_is_within_half_of_people_s_spread(sex: Sex, age: int) -> None:
    # Kaminsky 2015, the decades between from memory and sure; those at 50 seen second-hand
    assert age in FRIEND[sex]
    assert abs(capacity_off(sex, age)) <= FRIEND_WITHIN, f"{capacity_off(sex, age):+.0%}"


def test_light_work_predicts_a_light_heart_rate_and_hard_work_a_hard_one() -> None:
    light, hard = predict_heart_rate(45, Sex.FEMALE, 2, 3), predict_heart_rate(45, Sex.FEMALE, 6, 7)
    assert light
    assert hard
    assert light.low_bpm < hard.low_bpm
    assert light.high_bpm < hard.high_bpm <= greatest(45).high_bpm
    # a woman of 45 walking briskly, 3.5 to 4.5 MET, has about 110 to 125 (common practice, no source)
    walking = predict_heart_rate(45, Sex.FEMALE, 3.5, 4.5)
    assert walking
    assert walking.low_bpm < 117 < walking.high_bpm


def test_the_same_work_is_harder_for_the_old() -> None:
    young, old = predict_heart_rate(30, Sex.FEMALE, 3, 4), predict_heart_rate(70, Sex.FEMALE, 3, 4)
    assert young
    assert old
    part = [
        reserve_part((one.low_bpm + one.high_bpm) / 2, 69, tanaka_bpm(age)) for one, age in ((young, 30), (old, 70))
    ]
    assert part[1] > part[0]


def test_people_on_rate_limiting_medicine_get_no_judgement_at_all() -> None:
    assert predict_heart_rate(50, Sex.MALE, 3, 5, rate_limiting=True) is None
    assert heart_words(50, True) == NO_JUDGEMENT
    assert not any(sign.isdigit() for sign in NO_JUDGEMENT)
    assert band_of_rates([]) == NO_JUDGEMENT  # an audience of nobody else


def test_a_rate_is_never_shown_as_one_number() -> None:
    said = str(predict_heart_rate(45, Sex.FEMALE, 3, 3.01))
    low, _, high, *_ = said.split()
    assert int(high) - int(low) >= 20
    assert math.isclose(int(low) % 5, 0)
