"""The clock constants with their sources."""

from collections.abc import Mapping
from dataclasses import replace
from functools import cache

from everyrung.tables.reader import read_table
from everyrung.terms.session import Clock


@cache
def standard_clock() -> Clock:
    """The constants of tables/clock.csv."""
    return Clock(**{row["name"]: int(row["value"]) for row in read_table("clock").rows})


def coach_clock(changes: Mapping[str, int]) -> Clock:
    """The standard clock with one coach's own constants (field names of Clock) in place."""
    return replace(standard_clock(), **changes)
