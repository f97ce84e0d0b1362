"""The rule of steps: never up unearned, down where it was too much. Sources: ratamess2009, baechle2008; DESIGN 15."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from everyrung.effort.select_rung import NOTHING
from everyrung.weeks.next_step import (
    Dose,
    Menu,
    Record,
    Why,
    after_evening,
    next_entry,
    next_piece_up,
    set_reps,
)

DOSE = Dose(low=8, high=12, target_left=3)
RACK_KG = (2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0)


def menu(strength: float, may: list[bool] | None = None) -> Menu:
    """Three versions, each harder, the first without a load; the heavier, the fewer repetitions."""
    rung = np.array([0] + [1] * len(RACK_KG) + [2] * len(RACK_KG))
    load_kg = np.array([0.0, *RACK_KG, *RACK_KG])
    peak = (0.25 + 0.1 * rung + 0.02 * load_kg) / strength
    possible = np.maximum((1 / peak - 1) * 12, 0.0)
    return Menu(
        rung=rung,
        load_kg=load_kg,
        may=np.array([may or [True] * len(rung)]),
        possible=possible[None],
        peak=peak[None],
    )


def step(options: Menu, **record: Any) -> tuple[int, Why]:
    usual = {"last": 0, "merit": 0, "below": 0, "away_weeks": 0.5} | record
    entries, why = next_entry(options, Record(**{name: np.array([value]) for name, value in usual.items()}), DOSE)
    return int(entries[0]), why[0]


every_record = {
    "last": st.integers(0, 14),
    "merit": st.integers(0, 4),
    "below": st.integers(0, 4),
    "away_weeks": st.floats(0, 8),
}


@given(strength=st.floats(0.3, 3.0), may=st.lists(st.booleans(), min_size=15, max_size=15), **every_record)
def test_no_load_rises_by_more_than_a_tenth_unless_two_evenings_earned_the_next_piece(
    strength: float, may: list[bool], last: int, merit: int, below: int, away_weeks: float
) -> None:
    options = menu(strength, may)
    entry, why = step(options, last=last, merit=merit, below=below, away_weeks=away_weeks)
    if entry == NOTHING or not may[last]:
        assert why is Why.FIRST
        return
    now_kg, next_kg = options.load_kg[last], options.load_kg[entry]
    if next_kg > 1.1 * now_kg + 1e-6:
        assert merit >= 2
        assert away_weeks < 2
        between = (options.rung == options.rung[entry]) & options.may[0]
        assert not (between & (options.load_kg > now_kg) & (options.load_kg < next_kg)).any()


@given(strength=st.floats(0.3, 3.0), **every_record)
def test_nobody_comes_back_to_something_harder_and_nobody_rises_unearned(
    strength: float, last: int, merit: int, below: int, away_weeks: float
) -> None:
    options = menu(strength)
    entry, why = step(options, last=last, merit=merit, below=below, away_weeks=away_weeks)
    harder = options.possible[0, entry] < options.possible[0, last]
    assert harder == (why is Why.UP)
    if harder:
        assert merit >= 2
        assert away_weeks < 2
    if below >= 2 or away_weeks >= 3:
        assert options.load_kg[entry] <= options.load_kg[last]


@pytest.mark.parametrize(("record", "why"), [({"below": 2}, Why.BELOW), ({"away_weeks": 3.0}, Why.AWAY)])
def test_two_evenings_below_the_dose_or_three_weeks_away_are_one_step_down(record: dict[str, Any], why: Why) -> None:
    options = menu(1.0)
    fits = int(np.flatnonzero(DOSE.holds(options.possible[0]) & (options.load_kg > 3))[0])
    assert step(options, last=fits) == (fits, Why.KEEP)
    entry, reason = step(options, last=fits, **record)
    assert reason is why
    assert options.load_kg[entry] <= options.load_kg[fits]
    easier = options.possible[0][(options.possible[0] > options.possible[0, fits] + 1)]
    assert options.possible[0, entry] in sorted(easier)[:3]


def test_a_step_down_is_to_no_heavier_load_even_where_an_easier_version_has_one() -> None:
    options = Menu(
        rung=np.array([0, 1, 0]),
        load_kg=np.array([15.0, 16.0, 12.0]),
        may=np.ones((1, 3), dtype=bool),
        possible=np.array([[8.0, 12.0, 14.0]]),
        peak=np.array([[0.5, 0.4, 0.4]]),
    )
    assert step(options)[0] == 1  # what fits best, 7 % heavier
    assert step(options, below=2) == (2, Why.BELOW)


def test_an_earned_step_is_the_smallest_that_is_there() -> None:
    options = menu(1.6)
    light = 2  # 3 kg, by far too light
    assert step(options, last=light, merit=1) == (light, Why.KEEP)
    entry, why = step(options, last=light, merit=2)
    assert why is Why.UP
    assert (options.rung[entry], options.load_kg[entry]) in ((1, 4.0), (2, 2.0), (2, 3.0))


def test_where_the_dose_is_the_same_for_all_an_earned_step_comes_once_it_can_be_done() -> None:
    options, led = menu(1.0), Dose(low=8, high=8, target_left=3)
    here = int(np.flatnonzero((options.possible[0] >= 10.5) & (options.possible[0] <= 11.8))[0])
    for merit, rises in ((1, False), (2, True)):
        record = Record(last=np.array([here]), merit=np.array([merit]), below=np.array([0]), away_weeks=np.array([0.5]))
        entries, why = next_entry(options, record, led)
        assert (why[0] is Why.UP) == rises
        assert options.possible[0, entries[0]] >= 9


def test_a_first_evening_takes_what_leaves_the_target() -> None:
    for strength in (0.6, 1.0, 1.6):
        options = menu(strength)
        entry, why = step(options, last=NOTHING)
        assert why is Why.FIRST
        assert abs(options.possible[0, entry] - DOSE.aim) == pytest.approx(
            min(abs(options.possible[0] - DOSE.aim)), abs=1.5
        )


@pytest.mark.parametrize(
    ("left", "reps", "merit", "below"),
    [
        ((3, 2, 2), (12, 10, 10), 1, 0),  # all done, two or more left: counts
        ((7, 6, 6), (12, 10, 10), 2, 0),  # far too light: counts twice
        ((3, 2, 1), (12, 10, 10), 0, 0),
        ((3, 2, 0), (12, 10, 10), 0, 1),  # nothing left in the last: below
        ((3, 0, 2), (12, 9, 10), 0, 1),  # one not finished: below
    ],
)
def test_evenings_count_as_two_for_two_says(
    left: tuple[int, ...], reps: tuple[int, ...], merit: int, below: int
) -> None:
    zero = np.array([0])
    led = np.array([[12, 10, 10]])
    got = after_evening(zero, zero, np.array([left], dtype=float), np.array([reps]), led, DOSE)
    assert (int(got[0][0]), int(got[1][0])) == (merit, below)


def test_the_next_piece_up_is_of_the_same_version() -> None:
    options = menu(1.0)
    assert next_piece_up(options, np.array([1])).tolist() == [2]
    assert next_piece_up(options, np.array([7])).tolist() == [7]  # the heaviest
    assert next_piece_up(options, np.array([0])).tolist() == [0]  # nothing in the hands


def test_repetitions_of_a_set_stay_near_the_dose() -> None:
    assert set_reps(np.array([4.0, 13.0, 40.0]), DOSE, np.array([0.0, -1.0, 2.0])).tolist() == [3, 9, 12]
