"""The load of weeks: effort times minutes; monotony by the formula (foster2001, from memory), by way of numpy."""

from datetime import date

import numpy as np
import pytest

from everyrung.terms.history import History, SetRecord
from everyrung.weeks.week_load import WeekLoad, evening_loads, week_load

MONDAY, THURSDAY = date(2027, 1, 11), date(2027, 1, 14)


def record(on: date, person: str, effort: float | None) -> SetRecord:
    return SetRecord(on=on, person=person, move="squat", version="base", reps=8, effort=effort)


def test_monotony_and_strain_are_those_of_the_formula() -> None:
    days = [300.0, 0.0, 120.0, 0.0, 0.0, 60.0, 0.0]
    load = WeekLoad.of(days)
    monotony = np.mean(days) / np.std(days, ddof=1)
    assert load.total == 480
    assert (load.monotony, load.strain) == pytest.approx((monotony, 480 * monotony))


def test_days_that_are_all_alike_are_not_divided_by() -> None:
    assert WeekLoad.of([90.0] * 7) == WeekLoad(total=630.0, monotony=None, strain=None)


def test_an_evenings_load_is_the_mean_effort_times_its_minutes() -> None:
    records = (
        record(MONDAY, "Aino", 4), record(MONDAY, "Aino", 5), record(MONDAY, "Otto", 7), record(THURSDAY, "Otto", None),
    )  # fmt: skip
    loads = evening_loads(History(records=records), {MONDAY: 45.0, THURSDAY: 30.0})
    assert loads == {MONDAY: 6 * 45.0}  # of Aino what she said last
    assert week_load(loads, MONDAY).total == 270
    assert week_load(loads, date(2027, 1, 4)).monotony is None
