"""What training does to strength from week to week, and how far a day may be off."""

from functools import cache

from everyrung.tables.reader import typed_rows


@cache
def training_constant(name: str) -> float:
    """One value of tables/training.csv, in the unit of its row. Raises KeyError when there is none.

    >>> training_constant("day_log_sd")
    0.042
    """
    return {row.text("name"): row.value("value", 0, 100) for row in typed_rows("training")}[name]
