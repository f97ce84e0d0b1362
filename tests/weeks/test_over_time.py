"""What is believed of people: against the exact normal posterior, and in simulation of people whose truth is known."""

from typing import Any

import numpy as np
import pytest

from everyrung import library
from everyrung.effort.perform_set import PersonParameters
from everyrung.weeks.crowd import Crowd, draw_crowd, with_strength
from everyrung.weeks.lines import library_lines
from everyrung.weeks.night import Policy
from everyrung.weeks.over_time import after_answers, after_weeks, first_belief, points
from everyrung.weeks.season import Calendar, season
from everyrung.weeks.tonight import Tonight


def test_points_have_the_mean_and_the_covariance_that_they_stand_for() -> None:
    belief = first_belief(people=2, lines=3)
    every = points(belief)
    assert np.allclose(every.mean(axis=1), belief.mean)
    assert np.allclose(np.einsum("pin,pim->pnm", every, every) / every.shape[1], belief.covariance)


def test_where_repetitions_follow_strength_exactly_the_answer_is_the_textbooks() -> None:
    """Kalman 1960: for a linear forecast with normal errors the posterior is known in closed form."""
    belief = first_belief(people=1, lines=2)
    slope = np.array([0.03, 0.0, 0.01, 0.03])  # so flat that an answer is worth the same all along it
    reps, left = np.array([[10]]), np.array([[3.0]])
    possible = np.exp(np.log(12.5) + points(belief) @ slope)[..., None]
    after = after_answers(belief, possible, reps, left, np.array([[False]]))
    noise = np.hypot(1.0, 0.3) / 12.5  # hackett2017: one repetition off with up to five left; and rounding
    innovation = slope @ belief.covariance[0] @ slope + noise**2
    gain = belief.covariance[0] @ slope / innovation
    assert np.allclose(after.mean[0], gain * np.log(13.5 / 12.5), rtol=1e-3, atol=1e-9)
    assert np.allclose(
        after.covariance[0], belief.covariance[0] - np.outer(gain, gain) * innovation, rtol=1e-5, atol=1e-6
    )


def test_no_answer_moves_nothing_and_weeks_widen() -> None:
    belief = first_belief(people=1, lines=1)
    possible = 12 + points(belief)[..., :1]
    silent = after_answers(belief, possible, np.array([[10]]), np.array([[np.nan]]), np.array([[False]]))
    assert np.allclose(silent.mean, belief.mean)
    assert np.allclose(silent.covariance, belief.covariance, atol=1e-5)
    later = after_weeks(belief, np.array([4.0]), np.array([0.0]))
    assert later.line_log_sd[0, 0] > belief.line_log_sd[0, 0]
    assert later.line_log[0, 0] == 0.0
    assert after_weeks(belief, np.array([4.0]), np.array([4.0])).line_log[0, 0] > 0


@pytest.fixture(scope="module")
def rows() -> Any:
    return library_lines(("bent-row",), library())


def test_strength_and_endurance_are_found_within_their_bounds_95_times_in_100(rows: Any) -> None:
    crowd, count = draw_crowd(rows.motions, 150, 7), 150
    random = np.random.default_rng(7)
    strength, endurance = random.normal(0, 0.22, count), random.normal(0, 0.32, count)
    truth = with_strength(crowd.usual, strength, endurance)
    known = Crowd(truth=truth, usual=crowd.usual, gain_log=crowd.gain_log)
    one = season(rows, known, Policy.ASKED, Calendar(weeks=4), 7)
    list(one.evenings())
    now = strength + crowd.gain_log * one.weeks_of_training
    for off, sd in (
        (one.belief.line_log[:, 0] - now, one.belief.line_log_sd[:, 0]),
        (one.belief.endurance_log - endurance, np.sqrt(one.belief.covariance[:, -2, -2])),
    ):
        inside = (np.abs(off) <= 1.96 * sd).mean()
        assert 0.89 <= inside <= 1.0  # 150 people: 0.95 and three standard errors of 0.018
    assert one.belief.line_log_sd.mean() < 0.5 * 0.22


def test_two_sensible_answers_move_what_is_believed_by_less_than_one_piece(rows: Any) -> None:
    """From 4 to 5 kg is a quarter more; two answers one apart from the forecast are worth less than that."""
    crowd = draw_crowd(rows.motions, 20, 3)
    belief = first_belief(people=20, lines=1)
    entry = np.full(20, int(np.flatnonzero(rows.lines[0].load_kg == 8.0)[-1]))
    reps = np.full(20, 8)

    def possible(every: Any) -> Any:
        people, numbers = every.shape[0] * every.shape[1], every.shape[2]
        flat, who = every.reshape(people, numbers), _repeat(crowd.usual, every.shape[1])
        stronger = with_strength(who, flat[:, 0] + flat[:, -1], flat[:, -2])
        count = every.shape[1]
        trial = rows.try_set(stronger, rows.fresh(people), 0, np.repeat(entry, count), np.repeat(reps, count))
        return np.repeat(trial.possible.reshape(20, count, 1), 2, axis=2)

    middle = possible(belief.mean[:, None, :])[:, 0]
    left = np.maximum(np.round(middle + 1) - 8, 0.0)
    after = after_answers(belief, possible(points(belief)), np.full((20, 2), 8), left, np.zeros((20, 2), dtype=bool))
    within = middle[:, 0] >= 8
    assert within.sum() >= 5
    assert (np.abs(after.line_log[within, 0]) < np.log(5 / 4)).all()


def test_each_answer_of_an_evening_narrows_what_is_believed_and_silence_does_not(rows: Any) -> None:
    crowd, before = draw_crowd(rows.motions, 10, 4), first_belief(people=10, lines=1)
    tonight = Tonight(lines=rows, who=crowd.usual, before=before)
    entry, reps = np.full(10, int(np.flatnonzero(rows.lines[0].load_kg == 8.0)[-1])), np.full(10, 8)
    sds = [before.line_log_sd[:, 0]]
    for left in (np.full(10, 4.0), np.full(10, np.nan), np.full(10, 1.0)):
        tonight.hear(0, entry, reps, left, np.zeros(10, dtype=bool))
        tonight.rest(90.0)
        sds.append(tonight.belief.line_log_sd[:, 0])
    assert (sds[1] < sds[0]).all()
    assert np.allclose(sds[2], sds[1], atol=1e-4)  # nobody asked, nothing learnt
    assert (sds[3] < sds[2]).all()


def _repeat(who: PersonParameters, count: int) -> PersonParameters:
    return who.only(np.repeat(np.arange(len(who.strength)), count))
