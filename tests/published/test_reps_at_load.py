"""Repetitions at parts of the 1RM: the NSCA table (from memory, sure), Wolfe 2024, Sakamoto 2006, two formulas."""

import pytest
from endurance_studies import NSCA, WOLFE, load_for, reps_at

LEAPS = (70, 67)  # the table goes from 10 at 75 to 11 at 70 and 12 at 67, then to 15 at 65: no smooth curve does


@pytest.mark.parametrize(("reps", "per_cent"), [(n, p) for n, p in NSCA.items() if 65 <= p <= 95 and p not in LEAPS])
def test_repetitions_follow_the_table(reps: int, per_cent: int) -> None:
    assert reps_at(per_cent) == pytest.approx(reps, abs=0.7)


@pytest.mark.xfail(strict=True, reason="a miss: 12.6 and 14.3 repetitions for 11 and 12")
@pytest.mark.parametrize("per_cent", LEAPS)
def test_repetitions_follow_the_table_where_it_leaps(per_cent: int) -> None:
    assert reps_at(per_cent) == pytest.approx({70: 11, 67: 12}[per_cent], abs=0.7)


def test_one_repetition_is_done_with_the_1rm_and_two_are_not() -> None:
    assert load_for(1) == pytest.approx(100)
    assert 90 < load_for(2) < 100


@pytest.mark.xfail(strict=True, reason="a miss: trained women do half as many again (75 %: 14 to 18 against 10)")
def test_trained_women_do_as_many_as_the_model() -> None:
    # Wolfe 2024, Int J Strength Cond 4(1): 17 trained women (V, abstract). Forecasts for women err to the safe side.
    for per_cent, found in WOLFE.items():
        assert reps_at(per_cent) == pytest.approx(sum(found) / 3, rel=0.25)


def test_women_s_repetitions_fall_with_the_load_as_the_model_s() -> None:
    model, women = ([reps_at(p) / reps_at(85) for p in WOLFE], [sum(f) / sum(WOLFE[85]) for f in WOLFE.values()])
    assert model == pytest.approx(women, rel=0.25)


def test_slow_repetitions_are_fewer_and_more_so_with_little_load() -> None:
    # Sakamoto and Sinclair 2006 (V): bench press at 40 to 80 % of 1RM; faster velocities, more repetitions, and the
    # effect is greater at lower intensities
    slow, quick = ({p: reps_at(p, seconds=s) for p in (40, 60, 80)} for s in (5.6, 2.8))
    assert all(slow[p] < quick[p] for p in slow)
    lost = [quick[p] - slow[p] for p in (40, 60, 80)]
    assert lost == sorted(lost, reverse=True)


def test_epley_and_brzycki_agree_at_ten() -> None:
    # checks.csv GU06 (D): both give 4/3 of the load at 10 repetitions; the model is between 80 and 75 % there
    assert 1 + 10 / 30 == pytest.approx(36 / (37 - 10)) == pytest.approx(4 / 3)
    assert 100 / load_for(10) == pytest.approx(4 / 3, rel=0.02)
