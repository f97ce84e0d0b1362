"""What is believed of one person in one cell. Repetitions by strength are Epley's: w (1 + r / 30) = 1RM (1985, from
memory).
"""

from datetime import date, timedelta

import numpy as np

from everyrung.effort.known_people import COPIES
from everyrung.tables.strength_of_people import people_constant
from everyrung.tables.training import training_constant
from everyrung.terms.person import Person
from everyrung.weeks.over_time import HALF
from everyrung.weeks.person_belief import Curve, SetAnswer, possible_now

ONE = Person(name="Aino", stature_m=1.65)
FIRST = date(2026, 9, 7)
LOADS = (0.65, 0.72, 0.8)  # parts of the one-repetition maximum of the person in the middle


def epley(strength_log: float, load: float) -> float:
    """Whole ones, on average half a repetition fewer than exactly."""
    return max(30 * (np.exp(strength_log) / load - 1) - HALF, 0.0)


def curve() -> Curve:
    at = np.array(COPIES) * people_constant("scatter_log_sd")
    return Curve(strength_log=at, reps_log=np.log([[epley(each, load) + HALF for each in at] for load in LOADS]))


def evening(number: int, left: float, reps: int = 8, candidate: int = 1) -> SetAnswer:
    return SetAnswer(on=FIRST + timedelta(days=7 * number), candidate=candidate, reps=reps, left=left)


def test_the_line_goes_through_the_three_forecasts_and_on_beyond_them() -> None:
    at = np.array(COPIES) * people_constant("scatter_log_sd")
    for candidate, load in enumerate(LOADS):
        assert np.allclose(curve().at(at, candidate), [epley(each, load) for each in at])
    weak, strong = curve().at(np.array([-0.3, 0.3]), 0)
    assert 0 <= weak < epley(at[0], LOADS[0])
    assert strong > epley(at[2], LOADS[0])


def test_nobody_s_answer_is_the_forecast_and_the_same_answer_each_week_is_believed_more_and_more() -> None:
    today = FIRST + timedelta(days=42)
    unasked = possible_now(curve(), ONE, [], today)
    assert np.allclose(unasked, [epley(0.0, load) for load in LOADS])
    told = [possible_now(curve(), ONE, [evening(at, 0) for at in range(5 - some, 5)], today)[1] for some in (1, 3, 5)]
    assert unasked[1] > told[0] > told[1] > 8.0  # they did eight, with nothing left, and gain a little each week
    assert abs(told[2] - told[1]) < 0.3


def test_one_bad_day_moves_the_forecast_by_less_than_half_of_what_was_missing() -> None:
    """grgic2020: a day is 4.2 % off. After four evenings alike the fifth is mostly the day."""
    today = FIRST + timedelta(days=35)
    steady = possible_now(curve(), ONE, [evening(at, 4) for at in range(4)], today)[1]
    bad = possible_now(curve(), ONE, [*(evening(at, 4) for at in range(4)), evening(4, 0)], today)[1]
    assert 0 < steady - bad < 2.0


def test_over_weeks_it_is_nearer_to_what_people_can_do_than_their_last_evening() -> None:
    """People of known strength who gain as ahtiainen2016's, on days as grgic2020's, one off (hackett2017)."""
    random, today = np.random.default_rng(5), FIRST + timedelta(days=56)
    believed, last_alone, truth = [], [], []
    for strength in random.normal(0, people_constant("scatter_log_sd") / 2, 150):
        gain = random.normal(training_constant("gain_week_log"), training_constant("gain_week_log_sd"))
        days = strength + gain * np.arange(8) + random.normal(0, training_constant("day_log_sd"), 8)
        possible = [round(epley(each, LOADS[1])) for each in days]
        said = [max(round(most - 6 + random.normal()), 0) for most in possible]
        answers = [evening(at, left, reps=6) for at, left in enumerate(said) if possible[at] >= 6]
        if len(answers) < 4:
            continue
        believed.append(possible_now(curve(), ONE, answers, today)[1])
        last_alone.append(answers[-1].reps + answers[-1].left)
        truth.append(epley(strength + gain * 8, LOADS[1]))
    off, off_alone = (np.sqrt(np.mean((np.array(each) - truth) ** 2)) for each in (believed, last_alone))
    assert len(truth) > 100
    assert off < 0.75 * off_alone
