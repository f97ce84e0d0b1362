"""How strength goes with age, by joint, and what people differ by, read with their types."""

from functools import cache

from everyrung.tables.reader import typed_rows
from everyrung.terms.frozen import dataclass
from everyrung.terms.person import Sex


@dataclass(frozen=True, slots=True, kw_only=True)
class AgeRow:
    """How strong people of one age (years) and sex are, a factor on young ones, and how far that may be off (a
    standard deviation of its logarithm). `motion` may be the beginning of several.
    """

    motion: str
    sex: Sex
    age: float
    factor: float
    error_log_sd: float


@cache
def age_rows() -> tuple[AgeRow, ...]:
    """All rows of tables/strength_by_age.csv. Raises ValueError for a cell that is wrong, or ages that do not rise."""
    last: dict[tuple[str, str], float] = {}
    rows = []
    for row in typed_rows("strength_by_age"):
        one = AgeRow(
            motion=row.text("motion"),
            sex=Sex(row.word("sex", tuple(Sex))),
            age=row.value("age", 45, 100),
            factor=row.value("factor", 0.2, 1.5),
            error_log_sd=row.value("error_log_sd", 0.01, 1),
        )
        key = one.motion, one.sex
        if one.age <= last.get(key, 0.0):
            raise row.wrong("age", f"more than {last[key]:g}, the age before", f"{one.age:g}")
        last[key] = one.age
        rows.append(one)
    return tuple(rows)


@cache
def people_constant(name: str) -> float:
    """One value of tables/strength_people.csv, in the unit of that table: a factor, a part, years, or kg for a grip.
    Raises KeyError when there is none.
    """
    return {row.text("name"): row.value("value", 0, 200) for row in typed_rows("strength_people")}[name]
