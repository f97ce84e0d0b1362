"""Ratings of effort, 0 to 10: Kraft 2014 (two), Egan 2006, Robertson 2003, Pritchett 2009, Day 2004, Testa 2012.

Values seen in the abstracts. The line was fitted to the deciding half; the ranks and the half held back were not.
"""

import pytest
from rating_studies import DECIDES, RANKS, RATED, error, fit, half, lins_filho_ratings, mean_rating, pooled_sd

from everyrung.effort.person_fit import answer_sd
from everyrung.effort.rates import constant
from everyrung.effort.rating import part_done, rate

MISSES = {
    "RP04": "a point too high; alike sets were rated 4.4 here and 5.9 in RP03",
    "RP10": "likewise, of the session",
    "RP16": "1.8 too low: twelve knee extensions",
    "RP17": "1.9 too low: light sets to failure are rated far over heavy ones",
}


@pytest.mark.parametrize(
    "one",
    [
        pytest.param(one, marks=[pytest.mark.xfail(strict=True, reason=f"a miss: {MISSES[one.key]}")])
        if one.key in MISSES
        else one
        for one in RATED
    ],
    ids=lambda one: one.key,
)
def test_mean_ratings_are_within_a_point(one) -> None:
    assert one.met(), f"{one.said}: {one.ask():.2f} for {one.published:g}"


@pytest.mark.parametrize("said", RANKS)
def test_what_is_rated_higher_is_forecast_higher(said: str) -> None:
    more, less = RANKS[said]
    assert mean_rating(more) > mean_rating(less)


def test_effort_rises_to_the_second_set_at_70_per_cent() -> None:
    # Lins-Filho 2012, NU45 (V): 12-9-6 repetitions
    first, second, _ = lins_filho_ratings(70)
    assert second > first


@pytest.mark.xfail(strict=True, reason="a miss: the third set of 6 is rated lower than the second of 9")
def test_effort_rises_to_the_third_set_at_70_per_cent() -> None:
    _, second, third = lins_filho_ratings(70)
    assert third > second


def test_ratings_follow_the_part_done_whatever_the_load() -> None:
    # Testa 2012, NU46 (V): the part of the maximal repetitions, not the load; by construction here
    assert rate(part_done(8.0, 4.0)) == rate(part_done(2.0, 1.0))
    ratings = rate(part_done(8.0, [16.0, 8.0, 3.0, 0.0])).tolist()
    assert ratings == sorted(ratings)


def test_the_error_that_answers_are_allowed_holds_what_people_say_too_few() -> None:
    # Halperin 2022, NU47 (V), held back: people say 0.95 repetitions too few. Learning from answers knows no such lean,
    # only an error of one standard deviation, which has to be as wide at least
    assert all(answer_sd(left) >= 0.95 for left in range(11))


def test_the_line_and_its_error_are_what_the_studies_give() -> None:
    nothing, everything = fit()
    assert constant("rating", "all", "nothing_done") == pytest.approx(nothing, abs=0.1)
    assert constant("rating", "all", "all_done") == pytest.approx(everything, abs=0.1)
    assert constant("rating", "all", "line_error") == pytest.approx(error(half(False)), abs=0.05)
    assert constant("rating", "all", "set_sd") == pytest.approx(pooled_sd(False), abs=0.05)
    assert constant("rating", "all", "session_sd") == pytest.approx(pooled_sd(True), abs=0.05)
    assert sum(DECIDES.values()) == len(RATED) / 2
