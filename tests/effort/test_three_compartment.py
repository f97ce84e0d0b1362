"""The closed form of fatigue against two other ways, its inverses, and what must hold whatever the numbers are."""

import numpy as np
import pytest
from fatigue_oracles import ode_hold_seconds, ode_parts, ode_reps, stepped_reps
from hypothesis import given, settings
from hypothesis import strategies as st

from everyrung.effort.three_compartment import (
    RepMap,
    Reserve,
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


SHARE, RATES = 0.45, np.array([1 / 10, 1 / 450])  # like tables/fatigue.csv; any would do
RESERVE = Reserve(at_full=0.24, power=4.6)


def test_the_parts_over_sets_rests_and_a_hold_are_those_of_the_equations() -> None:
    # ten repetitions of 3 s, a minute's rest, ten more, half a minute, a hold of 20 s, two minutes' rest
    f, r, loads, strike = 0.0097, 0.00091, np.array([0.3, 0.35]), 0.01
    phases, shares = np.array([1.5, 1.5]), np.array([1 - SHARE, SHARE])
    one = rep_map(loads, phases, np.array(f), np.array(r), np.array(1.5), strike)
    each = RepMap(decay=one.decay, rise=shares * one.rise, decay_to=one.decay_to, rise_to=shares * one.rise_to)
    parts, ends = np.zeros(2), []
    for work, rest_s in (("set", 60.0), ("set", 30.0), ("hold", 120.0)):
        if work == "set":
            parts = after_reps(parts, each, np.array(10.0))
        else:
            parts = after_hold(parts, np.array(0.4), f * shares, np.array(r), 20.0)
        ends.append(parts)
        parts = after_rest(parts, RATES, rest_s)
        ends.append(parts)
    reps = [(0.3, 1.5, strike), (0.35, 1.5, 0.0)] * 10
    courses = [reps, [(None, 60.0, 0.0)], reps, [(None, 30.0, 0.0)], [(0.4, 20.0, 0.0)], [(None, 120.0, 0.0)]]
    state = np.zeros(2)
    for course, closed_form in zip(courses, ends, strict=True):
        state = ode_parts(state, course, f, r, SHARE, RATES)
        assert closed_form == pytest.approx(state, rel=0.01)
    assert ends[2][1] > 1.7 * ends[0][1]  # the slow part has piled up


def test_work_knows_the_sum_of_the_parts_alone() -> None:
    case = random_cases(300, seed=19)
    one, shares = closed(case), np.array([1 - SHARE, SHARE])[:, None]
    each = RepMap(decay=one.decay, rise=shares * one.rise, decay_to=one.decay_to, rise_to=shares * one.rise_to)
    parts = np.stack([0.2 * case["m"], 0.8 * case["m"]])
    assert after_reps(parts, each, np.full(300, 6.0)).sum(axis=0) == pytest.approx(after_reps(case["m"], one, 6.0))
    held = after_hold(parts, case["peak"], case["fatigue"] * shares, case["recovery"], 15.0)
    assert held.sum(axis=0) == pytest.approx(
        after_hold(case["m"], case["peak"], case["fatigue"], case["recovery"], 15.0)
    )


def test_a_reserve_lengthens_holds_near_full_strength_and_hardly_any_other() -> None:
    load, f, r = np.array([0.2, 0.5, 0.9, 1.0, 1.01]), np.full(5, 0.015), np.full(5, 0.00149)
    plain, more = (hold_seconds(np.zeros(5), load, f, r, one) for one in (Reserve(at_full=0.0, power=1.0), RESERVE))
    assert more[0] == pytest.approx(plain[0], rel=1e-3)
    assert more[1] == pytest.approx(plain[1], rel=0.03)
    assert more[2] > 2 * plain[2]
    assert plain[3] == 0.0 < more[3]
    assert more[4] == 0.0  # what is more than all strength can't be taken up


FRACTION, TIME = st.floats(0.01, 0.99), st.floats(0.0, 300.0)
F, R = st.floats(0.004, 0.03), st.floats(0.0004, 0.003)


@settings(max_examples=200, deadline=None)
@given(m=FRACTION, load=FRACTION, f=F, r=R, seconds=TIME, rest_s=st.floats(2.0, 300.0))
def test_holding_anything_tires_more_than_resting(
    m: float, load: float, f: float, r: float, seconds: float, rest_s: float
) -> None:
    now, u, big_f, big_r = np.array(m), np.array(load), np.array(f), np.array(r)
    at_rest = float(after_rest(now, np.array(1 / rest_s), seconds))
    assert at_rest <= m
    # a loaded pause is never rest: even next to nothing in hand recovers with R, not as at rest
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


@settings(max_examples=200, deadline=None)
@given(m=st.floats(0.0, 0.9), load=st.floats(0.3, 1.0), r=R)
def test_after_a_failed_hold_no_repetition_of_its_load_is_possible(m: float, load: float, r: float) -> None:
    big_f, big_r, u = np.array(9 * r), np.array(r), np.array(load)
    ends = after_hold(np.array(m), u, big_f, big_r, hold_seconds(np.array(m), u, big_f, big_r, RESERVE))
    assert ends <= max(1.0, m)
    one = rep_map(np.array([0.6, 0.6]) * load, np.array([1.5, 1.5]), big_f, big_r, np.array(1.5))
    assert float(reps_possible(ends, one, u)) == 0.0
