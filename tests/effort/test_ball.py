"""What is said of balls: ranges, ratings and owned balls. Published charts are compared in tests/published."""

import math
from itertools import pairwise

import pytest

from everyrung.effort.balls import BORNE, MARGIN, BallAdvice, Purpose, ball_advice, own_ball
from everyrung.terms.enums import KitItem
from everyrung.terms.errors import Invalid
from everyrung.terms.person import Own

LB_KG = 0.45359237  # exact by definition


def ball(diameter_cm: float, rated_kg: float | None = None) -> Own:
    return Own(item=KitItem.BALL, diameter_cm=diameter_cm, rated_kg=rated_kg)


def shown_kg(advice: BallAdvice) -> float:
    """The rating that someone reads and buys by."""
    return float(str(advice).split("rated for ")[1].split(" kg")[0])


def test_one_size_is_no_advice() -> None:
    with pytest.raises(Invalid, match="a range"):
        BallAdvice(purpose=Purpose.WALL, sizes_cm=(55.0,), test="wall test", needed_kg=None)


@pytest.mark.parametrize("purpose", BORNE)
@pytest.mark.parametrize("mass_kg", [50.0, 62.3, 80.0, 119.9])
@pytest.mark.parametrize("held_kg", [0.0, 8.9, 20 * LB_KG])
def test_a_ball_bought_by_the_number_shown_is_strong_enough(purpose: Purpose, mass_kg: float, held_kg: float) -> None:
    advice = ball_advice(purpose, 1.70, mass_kg, held_kg)
    assert shown_kg(advice) >= MARGIN * (mass_kg + held_kg)
    assert "too little" not in own_ball(advice, ball(55.0, shown_kg(advice)))


def test_the_rating_needed_is_body_and_dumbbells_with_the_margin() -> None:
    # case H19: someone of 100 lb who held two dumbbells; 50 lb each made up
    held_kg = 100 * LB_KG
    advice = ball_advice(Purpose.SITTING, 1.60, 100 * LB_KG, held_kg)
    assert advice.needed_kg == pytest.approx(1.5 * 200 * LB_KG)
    weak, enough = advice.needed_kg - 0.1, advice.needed_kg  # a rating of exactly that much will do
    assert "too little" in own_ball(advice, ball(55.0, weak))
    assert "too little" not in own_ball(advice, ball(55.0, enough))
    assert "too little" in own_ball(advice, ball(55.0, 100 * LB_KG))  # would bear the body alone


@pytest.mark.parametrize("purpose", BORNE)
@pytest.mark.parametrize("mass_kg", [None, 70.0])
def test_a_ball_of_unknown_rating_gets_no_body_weight_whether_or_not_the_body_s_is_known(
    purpose: Purpose, mass_kg: float | None
) -> None:
    said = own_ball(ball_advice(purpose, 1.70, mass_kg), ball(55.0))
    assert "look for it on the ball" in said
    assert "keep your weight off" in said


def test_without_a_mass_the_rule_is_said_and_no_rating_is_passed() -> None:
    advice = ball_advice(Purpose.SITTING, 1.70, None)
    assert "1.5 times body and dumbbells" in str(advice)
    assert "it needs 1.5 times body and dumbbells" in own_ball(advice, ball(65.0, 20.0))


def test_nothing_is_said_of_ratings_where_nobody_puts_weight_on_the_ball() -> None:
    advice = ball_advice(Purpose.OVERHEAD, 1.70, 70.0, 9.0)
    assert "rated" not in str(advice)
    assert "rated" not in own_ball(advice, ball(55.0))
    assert "rated" not in own_ball(advice, ball(55.0, 20.0))


@pytest.mark.parametrize("purpose", list(Purpose))
def test_an_owned_ball_is_judged_by_the_range_and_its_test_decides(purpose: Purpose) -> None:
    advice = ball_advice(purpose, 1.70, 70.0)
    low, high = advice.sizes_cm[0], advice.sizes_cm[-1]
    assert all("right size" in own_ball(advice, ball(size, 300.0)) for size in advice.sizes_cm)
    assert "small side: see if it passes the test" in own_ball(advice, ball(low - 5, 300.0))
    assert "large side: see if it passes the test" in own_ball(advice, ball(high + 5, 300.0))


def test_what_is_no_ball_is_refused_by_name() -> None:
    with pytest.raises(Invalid, match=r"a ball with its diameter.*chair"):
        own_ball(ball_advice(Purpose.WALL, 1.70, 70.0), Own(item=KitItem.CHAIR))


@pytest.mark.parametrize(("limit_cm", "below"), [(153.5, 45), (174.0, 55), (189.5, 65), (202.0, 75)])
def test_near_a_limit_of_the_sitting_chart_both_sizes_are_there(limit_cm: float, below: int) -> None:
    # the limits are the middles of the holes between a chart's bands (V); within 4 cm as case M1 makes it (chosen)
    for away_cm in (-3.99, -0.01, 0.0, 0.01, 3.99):
        assert {below, below + 10} <= set(ball_advice(Purpose.SITTING, (limit_cm + away_cm) / 100, None).sizes_cm)


@pytest.mark.parametrize("purpose", list(Purpose))
def test_a_range_never_skips_a_size(purpose: Purpose) -> None:
    for mass_kg in (None, 60.0, 140.0):
        for mm in range(1300, 2201):
            sizes = ball_advice(purpose, mm / 1000, mass_kg).sizes_cm
            assert all(math.isclose(after - before, 10) for before, after in pairwise(sizes)), mm
