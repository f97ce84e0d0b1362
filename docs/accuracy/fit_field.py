"""Fits the field factors, what people can do in whole movements as a factor on what dynamometers find, to the deciding
half of the whole tests of ordinary people; prints both halves: python docs/accuracy/fit_field.py

Which rows decide is fixed by their ids (`fit_fatigue.halves`, of each test by itself) before looking: a row is one test
of one sex and age. Of the chair stand only a least is known, which nothing can be fitted to: it is held back, as are
the back held level and the fall from 25 to 65. tables/strength_people.csv has what is found, rounded to a hundredth.

The factor of all other joints stays 1: of the deciding rows a single one ends there, men's front plank. Fitted too,
that factor is 0.86, and the half held back gets worse.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from fit_fatigue import halves
from numpy.typing import NDArray
from scipy.optimize import minimize
from whole_tests import FIELD_TESTS, PEOPLE, SORENSEN_S, FieldTest, people_of, set_of, sorensen_s, spared

from everyrung.effort.people_strength import FIELDS, field_factors, joints
from everyrung.effort.perform_set import perform_set, person_parameters
from everyrung.effort.three_compartment import PARTS
from everyrung.tables.strength_of_people import people_constant
from everyrung.terms.person import Sex

FIELD = ("ankle", "arm")
BACK = "back held level, female"


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A whole test of one sex and age."""

    test: FieldTest
    sex: Sex
    age: int

    @property
    def key(self) -> str:
        return f"{self.test.key}, {self.sex}, {self.age}"

    def computed(self, factors: NDArray[np.float64]) -> float:
        """The middle of 1,000 people with these field factors (axis: as FIELD)."""
        task, names, known = set_of(self.test.rung, self.test.tempo)
        people = people_of(self.sex, self.age)
        change = np.array([factors[FIELD.index(FIELDS[name])] if name in FIELDS else 1.0 for name in joints()])
        strength = people.strength / field_factors() * change * (spared() if self.test.steadied else 1.0)
        who = person_parameters(replace(people, strength=strength), names)
        fresh = np.zeros((PEOPLE, len(names), PARTS))
        return float(np.median(perform_set(who, fresh, task, np.zeros(PEOPLE), known).possible))

    def off(self, factors: NDArray[np.float64]) -> float:
        """The logarithm of computed over published; a test that nobody begins counts as one of half a repetition."""
        return float(np.log(max(self.computed(factors), 0.5) / self.test.published[self.sex, self.age]))


ROWS = tuple(Row(test=test, sex=sex, age=age) for test in FIELD_TESTS for sex, age in test.published)
DECIDES = {
    key: first for test in FIELD_TESTS for key, first in halves([row.key for row in ROWS if row.test is test]).items()
}
DECIDING = tuple(row for row in ROWS if DECIDES[row.key])
HELD_BACK = tuple(row for row in ROWS if not DECIDES[row.key])


def used() -> NDArray[np.float64]:
    """The factors of tables/strength_people.csv (axis: as FIELD)."""
    return np.array([people_constant(f"field_{name}") for name in FIELD])


def error(factors: NDArray[np.float64], rows: Sequence[Row]) -> float:
    """Root mean square of the logarithms by which the rows are off."""
    return float(np.sqrt(np.mean([row.off(factors) ** 2 for row in rows])))


def fit(rows: Sequence[Row]) -> NDArray[np.float64]:
    """The factors with the least error on these rows (axis: as FIELD), sought from 1 each."""
    simplex = np.vstack([np.zeros(len(FIELD)), 0.3 * np.eye(len(FIELD))])
    options = {"initial_simplex": simplex, "xatol": 2e-3, "fatol": 1e-5}
    found = minimize(lambda logs: error(np.exp(logs), rows), simplex[0], method="Nelder-Mead", options=options)
    factors: NDArray[np.float64] = np.exp(found.x)
    return factors


def words(factors: NDArray[np.float64]) -> str:
    return ", ".join(f"{name} {factor:.3f}" for name, factor in zip(FIELD, factors, strict=True))


def main() -> None:
    models = {"used": used(), "deciding half": fit(DECIDING), "all rows, no check": fit(ROWS)}
    for name, factors in models.items():
        off = f"off {error(factors, DECIDING):.3f} deciding, {error(factors, HELD_BACK):.3f} held back"
        print(f"{name}: {words(factors)}; {off} (logarithms)")
    best = models["deciding half"]
    for test in FIELD_TESTS:
        print(f"without {test.key}: {words(fit([row for row in DECIDING if row.test is not test]))}")
    for row in ROWS:
        half = "decides" if DECIDES[row.key] else "held back"
        published = row.test.published[row.sex, row.age]
        print(f"{row.key}: {half}: {published:g}, used {row.computed(used()):.0f}, fitted {row.computed(best):.0f}")
    print(f"{BACK}, held back: {SORENSEN_S}, {sorensen_s():.0f} s without a factor")


if __name__ == "__main__":
    main()
