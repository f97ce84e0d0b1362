"""Grades of the library's rungs as bodies have them: written by scripts/write_demand_table.py with the demands."""

import csv
from functools import cache
from pathlib import Path

GRADES = Path(__file__).parent / "computed_grades.csv"


@cache
def computed_grades() -> dict[str, int]:
    """The grade, 1 to 5, by a rung's address; of those whose file names none.

    >>> set(computed_grades().values()) <= {1, 2, 3, 4, 5}
    True
    """
    if not GRADES.exists():
        return {}
    with GRADES.open(encoding="utf-8", newline="") as file:
        return {row["rung"]: int(row["grade"]) for row in csv.DictReader(file)}
