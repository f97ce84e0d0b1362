"""Balls: charts for sitting (seen second-hand), what ten charts disagree on, rated loads, the survey's shanks."""

import pytest
from endurance_studies import CHARTS, INCH_M

from everyrung.effort.balls import MARGIN, Purpose, ball_advice, own_ball, purpose_of
from everyrung.tables.anthropometry import measure
from everyrung.terms.enums import KitItem, Surface
from everyrung.terms.person import Own, Sex


def sizes(stature_m: float, purpose: Purpose = Purpose.SITTING, mass_kg: float | None = None) -> tuple[float, ...]:
    return ball_advice(purpose, stature_m, mass_kg).sizes_cm


@pytest.mark.parametrize("inches", list(CHARTS))
def test_where_charts_disagree_both_sizes_are_named_and_where_they_have_a_hole_there_is_an_answer(
    inches: float,
) -> None:
    # case M1, ten public charts (V2): 5'6" five say 55 and five 65; 5'7" four and six; 6'2" 65 or 75; 5'5.5" in no band
    # of four of them; 6'0" in none or in two
    found = sizes(inches * INCH_M)
    assert len(found) >= 2
    assert set(CHARTS[inches]) <= set(found)


@pytest.mark.parametrize(("size", "from_cm", "to_cm"), [(45, 145, 152), (55, 155, 173), (65, 175, 188), (75, 191, 201)])
def test_in_all_of_its_band_the_chart_s_size_is_among_the_answers(size: int, from_cm: int, to_cm: int) -> None:
    # checks.csv GU09 (V): 55 for 155 to 173 cm, 65 for 175 to 188, sitting only; its neighbours from the same chart
    assert [mm for mm in range(10 * from_cm, 10 * to_cm + 1) if size not in sizes(mm / 1000)] == []


@pytest.mark.parametrize(("stature_cm", "wrong"), [(160, 75), (165, 75), (181, 45), (181, 85), (196, 55)])
def test_a_size_two_bands_away_is_never_named(stature_cm: int, wrong: int) -> None:
    assert wrong not in sizes(stature_cm / 100)


@pytest.mark.parametrize("purpose", list(Purpose))
def test_every_stature_gets_a_range_and_taller_people_no_smaller_one(purpose: Purpose) -> None:
    found = [sizes(mm / 1000, purpose) for mm in range(1300, 2201)]
    assert all(2 <= len(each) <= 3 for each in found)
    lows, highs = [each[0] for each in found], [each[-1] for each in found]
    assert lows == sorted(lows)
    assert highs == sorted(highs)


def test_at_the_wall_and_under_the_heels_average_people_take_45_to_55_and_only_the_tall_65() -> None:
    # common practice, no source; it contradicts the sitting charts, which presume a squashed ball
    for purpose in (Purpose.WALL, Purpose.HEELS):
        assert sizes(1.65, purpose) == (45, 55)
        assert 65 not in sizes(1.75, purpose)
        assert 65 in sizes(1.95, purpose)


def test_a_heavy_sitter_may_take_the_next_size() -> None:
    assert sizes(1.64, mass_kg=100)[-1] > sizes(1.64, mass_kg=60)[-1]  # V2: heavier users may need the next size


def test_centimetres_and_inches_are_the_same_person() -> None:
    assert sizes(66 * INCH_M) == sizes(1.6764)


def test_the_rated_load_has_to_bear_body_and_dumbbells_with_a_margin() -> None:
    # case of the burst balls: someone of 100 lb with weights in the hands; add body and load, then a dynamic factor
    advice = ball_advice(Purpose.SITTING, 1.65, 80.0, held_kg=9.0)
    assert advice.needed_kg == pytest.approx(89 * MARGIN)
    weak = Own(item=KitItem.BALL, diameter_cm=55.0, rated_kg=120.0)
    assert "too little" in own_ball(advice, weak)
    assert "too little" not in own_ball(advice, Own(item=KitItem.BALL, diameter_cm=55.0, rated_kg=250.0))
    assert "not known" in own_ball(advice, Own(item=KitItem.BALL, diameter_cm=55.0))


def test_a_ball_that_bears_nobody_needs_no_rating() -> None:
    assert ball_advice(Purpose.OVERHEAD, 1.65, 80.0, held_kg=9.0).needed_kg is None


def test_a_range_comes_with_its_test() -> None:
    assert "thighs level or sloping a little down" in str(ball_advice(Purpose.SITTING, 1.7, 70.0))
    assert "touches bottom and ribs" in str(ball_advice(Purpose.WALL, 1.7, 70.0))


@pytest.mark.parametrize(("stature_mm", "popliteal_mm"), [(1600, 380), (1700, 412), (1800, 443)])
def test_charts_presume_a_squashed_ball(stature_mm: int, popliteal_mm: int) -> None:
    # ANSUR II, both sexes (V): the hollow of the knee; a ball of the chart's size, unsquashed, stands well above it
    found = [measure(sex, "popliteal_height").at(stature_mm / 1000) * 1000 for sex in Sex]
    assert sum(found) / 2 == pytest.approx(popliteal_mm, abs=10)
    assert all(size * 10 - popliteal_mm > 60 for size in sizes(stature_mm / 1000))


def test_every_surface_with_a_ball_has_a_purpose() -> None:
    balls = [surface for surface in Surface if "ball" in surface.value]
    assert len(balls) == 9
    assert all(purpose_of(surface) for surface in balls)
    assert purpose_of(Surface.WALL) is None
