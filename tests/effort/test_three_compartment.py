"""The closed form of fatigue against two other ways, its inverses, and what must hold whatever the numbers are."""

import numpy as np
import pytest
from fatigue_oracles import ode_hold_seconds, ode_reps, stepped_reps
from hypothesis import given, settings
from hypothesis import strategies as st

from everyrung.effort.three_compartment import (
    RepMap,
    after_failed_rep,
    after_hold,
    after_reps,
    after_rest,
    hold_seconds,
    rep_map,
    reps_possible,
)

MOST = 60


def random_cases(count: int, seed: int) -> dict[str, np.ndarray]:
    """Loads low enough that most fail somewhere between 1 and 60 repetitions; phases may have no length at all."""
    rng = np.random.default_rng(seed)
    recovery = rng.uniform(0.0005, 0.002, count)
    peak = rng.uniform(0.05, 0.95, count)
    loads = peak[:, None] * rng.uniform(0.0, 1.0, (count, 4))
    seconds = rng.uniform(0.0, 3.0, (count, 4)) * (rng.random((count, 4)) > 0.2)
    seconds[:, 0] += 0.5  # a tempo moves for half a second at least
    return {
        "m": rng.uniform(0.0, 0.4, count) * (1 - peak),
        "loads": loads,
        "seconds": seconds,
        "fatigue": recovery * rng.uniform(8.0, 16.0, count),
        "recovery": recovery,
        "hardest_s": seconds.sum(axis=1) * rng.random(count),
        "peak": peak,
        "strikes": 0.02 * peak * rng.random(count),
    }


def closed(case: dict[str, np.ndarray]) -> RepMap:
    return rep_map(
        case["loads"], case["seconds"], case["fatigue"], case["recovery"], case["hardest_s"], case["strikes"]
    )


def test_repetitions_are_those_of_every_phase_in_turn_in_120_000_cases() -> None:
    case = random_cases(120_000, seed=11)
    reps = np.minimum(reps_possible(case["m"], closed(case), case["peak"]), MOST)
    stepped = stepped_reps(**case, most=MOST)
    assert (reps != stepped).sum() == 0
    assert ((stepped >= 1) & (stepped < MOST)).mean() > 0.5  # the cases are worth something


def test_repetitions_are_those_of_the_equations_but_for_one_at_most() -> None:
    # the equations have a controller of finite speed (10/s), the closed form an infinite one
    case = random_cases(60, seed=12)
    reps = np.minimum(reps_possible(case["m"], closed(case), case["peak"]), 20)
    names = ("m", "loads", "seconds", "fatigue", "recovery", "hardest_s", "peak", "strikes")
    other = [ode_reps(*(case[name][place] for name in names), 20) for place in range(60)]
    assert np.abs(reps - other).max() <= 1
    assert (reps != other).sum() <= 3


@pytest.mark.parametrize("load", [0.15, 0.3, 0.5, 0.8])
def test_a_hold_lasts_as_long_as_by_the_equations(load: float) -> None:
    one = hold_seconds(np.array(0.0), np.array(load), np.array(0.015), np.array(0.00149))
    assert float(one) == pytest.approx(ode_hold_seconds(load, 0.015, 0.00149, 5000), rel=0.01)


def test_a_hold_that_lasts_is_over_just_then() -> None:
    case = random_cases(1000, seed=13)
    seconds = hold_seconds(case["m"], case["peak"], case["fatigue"], case["recovery"])
    ends = np.isfinite(seconds) & (seconds > 0)
    left = after_hold(case["m"], case["peak"], case["fatigue"], case["recovery"], np.where(ends, seconds, 0.0))
    assert ends.sum() > 500
    assert (left + case["peak"])[ends] == pytest.approx(1.0)


def test_fatigue_after_some_repetitions_is_that_of_one_after_the_other() -> None:
    case = random_cases(300, seed=17)
    one, m = closed(case), case["m"]
    for _ in range(7):
        m = one.decay * m + one.rise
    assert after_reps(case["m"], one, np.full(300, 7.0)) == pytest.approx(m)


FRACTION, TIME = st.floats(0.01, 0.99), st.floats(0.0, 300.0)
F, R = st.floats(0.004, 0.03), st.floats(0.0004, 0.003)


@settings(max_examples=200, deadline=None)
@given(m=FRACTION, load=FRACTION, f=F, r=R, seconds=TIME, multiplier=st.floats(1.5, 30.0))
def test_holding_anything_tires_more_than_resting(
    m: float, load: float, f: float, r: float, seconds: float, multiplier: float
) -> None:
    now, u, big_f, big_r = np.array(m), np.array(load), np.array(f), np.array(r)
    at_rest = float(after_rest(now, big_r, multiplier, seconds))
    assert at_rest <= m
    # a loaded pause is never rest: even next to nothing in hand recovers with R, not with r R
    assert float(after_hold(now, u, big_f, big_r, seconds)) >= at_rest
    assert float(after_hold(now, np.array(1e-9), big_f, big_r, seconds)) >= at_rest


@settings(max_examples=200, deadline=None)
@given(m=st.floats(0.0, 0.5), peak=st.floats(0.05, 0.9), more=st.floats(1.0, 1.5), r=R, seconds=st.floats(1.0, 6.0))
def test_more_load_or_more_fatigue_is_never_more_repetitions(
    m: float, peak: float, more: float, r: float, seconds: float
) -> None:
    def reps(spent: float, load: float) -> float:
        phases = np.full(2, 0.6 * load)
        one = rep_map(
            phases, np.full(2, seconds / 2), np.array(10 * r), np.array(r), np.array(seconds / 2), 0.02 * load
        )
        return float(reps_possible(np.array(spent), one, np.array(load)))

    assert reps(m, peak * more) <= reps(m, peak)
    assert reps(min(m * more, 1.0), peak) <= reps(m, peak)


def test_a_failed_attempt_tires_as_well() -> None:
    case = random_cases(500, seed=18)
    one = closed(case)
    reps = np.minimum(reps_possible(case["m"], one, case["peak"]), MOST)
    before = after_reps(case["m"], one, reps)
    fails = reps < MOST
    # second way: its loads held phase by phase up to its hardest point
    here, begun = before, np.zeros(500)
    for phase in range(case["loads"].shape[1]):
        seconds = np.clip(case["hardest_s"] - begun, 0.0, case["seconds"][:, phase])
        here = after_hold(here, case["loads"][:, phase], case["fatigue"], case["recovery"], seconds)
        begun = begun + case["seconds"][:, phase]
    assert fails.sum() > 300
    assert after_failed_rep(before, one)[fails] == pytest.approx(np.minimum(here, 1.0)[fails])
    assert (after_failed_rep(before, one) > before)[fails].mean() > 0.9  # some are hardest when hardly begun
    assert (after_failed_rep(before, one) <= 1.0).all()


def test_a_load_that_what_is_left_of_strength_does_not_bear_is_not_held_at_all() -> None:
    spent, load = np.array([0.5, 0.5, 0.5, 0.0]), np.array([0.6, 0.501, 0.4, 1.01])
    seconds = hold_seconds(spent, load, np.full(4, 0.015), np.full(4, 0.00149))
    assert seconds[[0, 1, 3]].tolist() == [0.0, 0.0, 0.0]
    assert seconds[2] > 0


def test_what_is_too_heavy_is_not_done_once_and_what_is_light_enough_for_ever() -> None:
    one = rep_map(np.array([0.01, 0.01]), np.array([1.5, 1.5]), np.array(0.0097), np.array(0.00091), np.array(1.5))
    assert float(reps_possible(np.array(0.95), one, np.array(0.1))) == 0.0
    assert np.isinf(reps_possible(np.array(0.0), one, np.array(0.02)))
