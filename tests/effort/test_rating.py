"""How hard it feels: the part done, the band of answers, and the sum over a session."""

from types import SimpleNamespace

import numpy as np
import pytest

from everyrung.effort.rates import constant
from everyrung.effort.rating import EIGHTY, MOST, STEP, SessionRatings, part_done, rate, rating_band
from everyrung.terms.errors import Invalid
from everyrung.terms.forecast import Rating

LOW, HIGH = (constant("rating", "all", name) for name in ("nothing_done", "all_done"))


def test_the_part_done_is_of_all_that_was_possible() -> None:
    assert part_done(10.0, np.array([30.0, 10.0, 0.0, -4.0])).tolist() == [0.25, 0.5, 1.0, 1.0]


def test_a_rating_goes_from_nothing_to_failure_on_a_straight_line() -> None:
    assert rate(np.array([0.0, 0.5, 1.0])) == pytest.approx([LOW, (LOW + HIGH) / 2, HIGH])
    assert 0 <= LOW < HIGH <= MOST


def test_a_band_holds_how_people_differ_and_how_answers_do() -> None:
    ratings, weights = np.array([3.0, 5.0, 6.0, 4.0]), np.array([1, 5, 3, 1])
    found = rating_band(ratings, weights, "set_sd")
    assert found
    assert found.middle == 5.0
    beside = EIGHTY * np.hypot(constant("rating", "all", "set_sd"), constant("rating", "all", "line_error"))
    # of ten people the first says 3, the ninth 6
    assert found.low == pytest.approx(5 - np.hypot(2, beside))
    assert found.high == pytest.approx(5 + np.hypot(1, beside))
    assert str(found) == f"5 of 10 ({found.low:.0f} to {found.high:.0f})"


def test_a_band_stays_on_the_scale_and_nobody_gives_none() -> None:
    low, high = (rating_band(np.array([value]), np.array([3]), "session_sd") for value in (0.2, 9.9))
    assert low
    assert high
    assert low.low == 0.0
    assert high.high == MOST
    assert rating_band(np.array([5.0]), np.array([0]), "set_sd") is None
    with pytest.raises(Invalid, match="0 to 10"):
        Rating(middle=4, low=5, high=6)


def test_a_session_is_rated_as_its_sets_are_on_the_average() -> None:
    # egan2006 (V). Three people: the first does both sets, the second one, the third none
    def step(left: list[float], chosen: list[int]):
        attempt = SimpleNamespace(places=np.arange(3), left=np.array(left))
        candidate = SimpleNamespace(dose=8.0)
        return SimpleNamespace(attempts=(attempt,), candidates=(candidate,), choice=np.array(chosen))

    said = SessionRatings.none(3)
    said.add(step([0.0, 8.0, 1.0], [0, 0, -1]))
    said.add(step([8.0, 1.0, 1.0], [0, -1, -1]))
    counts = said.counts()
    assert counts.sum() == 2
    first, second = rate(np.array([0.75, 0.5]))
    assert np.flatnonzero(counts).tolist() == sorted(round(each / STEP) for each in (first, second))
