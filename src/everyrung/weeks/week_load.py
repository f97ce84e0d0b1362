"""The load of evenings, as effort times minutes (foster2001), and what a week of them comes to."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from statistics import fmean, stdev

from everyrung.terms.history import History

DAYS = 7
SAME = 1e-9  # of load, below which all days are alike


@dataclass(frozen=True, slots=True, kw_only=True)
class WeekLoad:
    """A week's load in effort times minutes. `monotony` is the mean day's load over the standard deviation between
    days, `strain` the week's load times that (foster2001; from memory); None where all days are alike: nothing is to
    be divided.

    >>> round(WeekLoad.of([300.0, 0, 0, 300.0, 0, 0, 0]).monotony, 3)
    0.586
    >>> WeekLoad.of([0.0] * 7).monotony is None
    True
    """

    total: float
    monotony: float | None
    strain: float | None

    @classmethod
    def of(cls, days: list[float]) -> "WeekLoad":
        """From the load of each of its seven days, 0 for a day of rest."""
        total, sd = sum(days), stdev(days)
        monotony = fmean(days) / sd if sd > SAME else None
        return cls(total=total, monotony=monotony, strain=total * monotony if monotony is not None else None)


def evening_loads(history: History, minutes: Mapping[date, float]) -> dict[date, float]:
    """The load of each evening: the mean of the efforts that people said, times its minutes. Evenings of which nobody
    said how hard they were, or whose length is not known, are left out.
    """
    loads = {}
    for day, records in history.evenings().items():
        efforts = {each.person: each.effort for each in records if each.effort is not None}
        if efforts and day in minutes:
            loads[day] = fmean(efforts.values()) * minutes[day]
    return loads


def week_load(loads: Mapping[date, float], first: date) -> WeekLoad:
    """The load of the seven days from `first` on."""
    return WeekLoad.of([loads.get(first + timedelta(days=day), 0.0) for day in range(DAYS)])
