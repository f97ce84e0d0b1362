"""Bands of heart rates: what widens, shifts or silences them. Published formulas are compared in tests/published."""

import math
from itertools import pairwise

import pytest

from everyrung.effort.heart import (
    NO_JUDGEMENT,
    Rates,
    band_of_rates,
    banister,
    capacity_met,
    constants,
    edwards,
    greatest,
    heart_words,
    karvonen_bpm,
    predict_heart_rate,
    reserve_part,
)
from everyrung.terms.errors import Invalid
from everyrung.terms.person import Sex


def rates(age: float, sex: Sex, low: float, high: float) -> Rates:
    found = predict_heart_rate(age, sex, low, high)
    assert found is not None
    return found


@pytest.mark.parametrize("sex", list(Sex))
@pytest.mark.parametrize("age", [16, 25, 45, 75, 100])
def test_no_band_leaves_rest_and_the_greatest_rate(sex: Sex, age: int) -> None:
    for met in (1, 2, 4, 8, 16):
        found = rates(age, sex, met, met * 1.3)
        assert constants()["rest_low"] <= found.low_bpm <= found.high_bpm <= greatest(age).high_bpm


@pytest.mark.parametrize("sex", list(Sex))
def test_more_oxygen_never_means_a_lower_rate(sex: Sex) -> None:
    found = [rates(45, sex, met / 4, met / 4) for met in range(4, 50)]
    for less, more in pairwise(found):
        assert less.low_bpm <= more.low_bpm + 1e-9
        assert less.high_bpm <= more.high_bpm + 1e-9


def test_not_knowing_the_work_makes_the_band_wider_both_ways() -> None:
    sure, unsure = rates(45, Sex.MALE, 4, 4), rates(45, Sex.MALE, 3, 16 / 3)  # the same geometric mean
    assert unsure.low_bpm < sure.low_bpm
    assert unsure.high_bpm > sure.high_bpm


def test_strength_work_widens_upwards_only() -> None:
    """The middle rate by hand, 45 years, 4 MET: the band reaches further above it than below."""
    part = 3 / (capacity_met(45, Sex.MALE) - 1)
    rest = (constants()["rest_low"] + constants()["rest_high"]) / 2
    by_oxygen = karvonen_bpm(rest, (207 + 208) / 2 - 0.7 * 45, part)  # Gellish and Tanaka
    found = rates(45, Sex.MALE, 4, 4)
    below, above = by_oxygen - found.low_bpm, found.high_bpm - by_oxygen
    assert below > 0
    assert above - below > 10  # beats a minute; chosen, because less would be lost in the rounding to fives


@pytest.mark.parametrize("sex", list(Sex))
def test_capacity_falls_by_about_a_tenth_a_decade(sex: Sex) -> None:
    # Kaminsky 2015 (V): about 10 % a decade between 20 and 79 years; over all five decades together
    a_decade = 1 - (capacity_met(75, sex) / capacity_met(25, sex)) ** (1 / 5)
    assert a_decade == pytest.approx(0.10, abs=0.04)


@pytest.mark.parametrize("part", [0.0, 0.25, 0.5, 1.0])
def test_karvonen_and_its_inverse_undo_each_other(part: float) -> None:
    assert reserve_part(karvonen_bpm(58, 191, part), 58, 191) == pytest.approx(part)


def test_rest_is_no_load_and_load_grows_faster_than_the_rate() -> None:
    assert banister(30, 60, 60, 180, Sex.MALE) == 0
    easy, hard = banister(30, 90, 60, 180, Sex.MALE), banister(30, 150, 60, 180, Sex.MALE)
    assert hard > 3 * easy  # 3 times the reserve, with an exponential weight on top


def test_zones_of_edwards_are_five() -> None:
    assert edwards([0, 0, 0, 0, 1]) == 5 * edwards([1, 0, 0, 0, 0])
    with pytest.raises(Invalid, match="five zones"):
        edwards([1, 2, 3, 4])


@pytest.mark.parametrize(("low", "high"), [(150, 120), (0, 100), (math.nan, 100)])
def test_a_band_that_is_none_is_refused(low: float, high: float) -> None:
    with pytest.raises(Invalid):
        Rates(low_bpm=low, high_bpm=high)


def test_a_band_is_rounded_outwards_to_fives() -> None:
    assert str(Rates(low_bpm=116, high_bpm=149)) == "115 to 150 beats a minute"


def test_an_audience_s_band_lies_between_those_of_its_people() -> None:
    alone = [band_of_rates([one]) for one in ((30, Sex.MALE, 4.0), (70, Sex.FEMALE, 4.0))]
    middle = band_of_rates([(30, Sex.MALE, 4.0), (70, Sex.FEMALE, 4.0)])
    lows = [int(said.split()[0]) for said in (*alone, middle)]
    assert min(lows[:2]) <= lows[2] <= max(lows[:2])


@pytest.mark.parametrize("sex", list(Sex))
def test_with_rate_limiting_medicine_no_work_of_any_kind_is_judged(sex: Sex) -> None:
    # case H32: under such medicine the rate stays low however hard the work; nobody is told they were slack
    for met in (1, 4, 12):
        assert predict_heart_rate(50, sex, met, met + 1, rate_limiting=True) is None
    assert heart_words(50, True) == NO_JUDGEMENT
    assert heart_words(50, False) != NO_JUDGEMENT
    assert "go by how it feels" in NO_JUDGEMENT
