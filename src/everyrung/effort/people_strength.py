"""How strong a person is against the young body of their sex and size: age by joint, training, and the rest.

All of it multiplies body/joint_strength.py motion by motion, so that a demand computed on a young body serves all ages.
Numbers: tables/strength_people.csv and strength_by_age.csv.
"""

from functools import cache
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from everyrung.tables.strength import strength_rows
from everyrung.tables.strength_of_people import AgeRow, age_rows, people_constant
from everyrung.terms.person import Experience, Sex

Array = NDArray[np.float64]
GRIP = "grip"


@cache
def motions() -> tuple[str, ...]:
    """Every direction of a joint that has a strength of its own, without sides: nobody's two sides differ (borges1989).
    The order is that of the axis 'motion' of `People.strength`.
    """
    return (*(row.motion for row in strength_rows()), GRIP)


@cache
def joints() -> tuple[str, ...]:
    """The joint of each motion, in the order of `motions`: 'knee' for 'knee_extension'."""
    return tuple(name.split("_")[0] for name in motions())


def without_side(motion: str) -> str:
    """'knee_extension' for 'knee_extension_left'."""
    return motion.removesuffix("_left").removesuffix("_right")


def age_line(sex: Sex, age: Array) -> Array:
    """Strength at each `age`, years (axis: person), as a factor on that of young adults, whatever the joint: level at
    first, then a straight line through the value at 75 (danneskiold2009).

    >>> age_line(Sex.MALE, np.array([20.0, 60.0])).round(2).tolist()
    [1.0, 0.8]
    """
    begins, at_75 = people_constant(f"line_{sex}_from"), people_constant(f"line_{sex}_at_75")
    result: Array = 1 - (1 - at_75) * np.maximum(age - begins, 0.0) / (75 - begins)
    return result


def age_factors(male: NDArray[np.bool_], age: Array) -> Array:
    """Strength by person and motion as a factor on that of young adults. `age` is in years.

    A joint that was measured departs from the common line, but only by the part of what was found that is worth more
    than its error: few people were measured, and joints differ from the line by so much and no more. From the last age
    that was measured on, it keeps its distance.

    >>> old = age_factors(np.array([True, False]), np.array([72.0, 72.0]))
    >>> [old[:, motions().index(name)].round(2).tolist() for name in ("knee_extension", "ankle_plantarflexion")]
    [[0.72, 0.71], [0.79, 0.92]]
    """
    factors = np.ones((len(age), len(motions())))
    for sex in Sex:
        of_sex = male == (sex is Sex.MALE)
        line = age_line(sex, age[of_sex])
        for place, motion in enumerate(motions()):
            factors[of_sex, place] = line * np.exp(_departure(motion, sex, age[of_sex]))
    return factors


def _departure(motion: str, sex: Sex, age: Array) -> Array:
    """By how much a motion's factor differs from the line, as a logarithm."""
    rows = _rows_of(motion, sex)
    if not rows:
        return np.zeros(len(age))
    spread = people_constant("joints_log_sd")
    ages = np.array([row.age for row in rows])
    line = age_line(sex, ages)
    worth = np.array([spread**2 / (spread**2 + row.error_log_sd**2) for row in rows])
    off = worth * np.log(np.array([row.factor for row in rows]) / line)
    begins = people_constant(f"line_{sex}_from")
    result: Array = np.interp(age, [begins, *ages], [0.0, *off])
    return result


@cache
def _rows_of(motion: str, sex: Sex) -> tuple[AgeRow, ...]:
    """The rows of the longest name in the table that the motion begins with."""
    every = [row for row in age_rows() if row.sex is sex and motion.startswith(row.motion)]
    by_name = {name: tuple(rows) for name, rows in groupby(every, lambda row: row.motion)}
    return by_name[max(by_name, key=len)] if by_name else ()


FIELDS = {"ankle": "ankle", "shoulder": "arm", "elbow": "arm"}


def field_factors() -> Array:
    """What people can do in a whole movement, by motion, as a factor on what dynamometers find; derived from push-ups
    and heel rises (tables/strength_people.csv).
    """
    return np.array([people_constant(f"field_{FIELDS.get(name, 'other')}") for name in joints()])


def training_factor(level: Experience) -> float:
    """Strength as a factor on that of untrained people of the same age, sex and size (ratamess2009, from memory).

    >>> training_factor(Experience.NEW), training_factor(Experience.REGULAR)
    (1.0, 1.2)
    """
    return people_constant(f"training_{level}")


@cache
def person_log_sds() -> Array:
    """What people of one age, sex and size differ by, by motion: standard deviations of the logarithm."""
    by_motion = {row.motion: row.person_log_sd for row in strength_rows()}
    return np.array([by_motion.get(name, people_constant("scatter_log_sd")) for name in motions()])


def scatter(general: Array, joint: Array, own: Array, width: float = 1.0) -> Array:
    """Factors on strength (axes: person, motion) from standard normal draws: `general` by person, `joint` by person
    and joint in the order of their first motion, `own` by person and motion. A strong person is strong all over, the
    more so around one joint.

    `width` stretches the spread, to see what depends on it.
    """
    places = [list(dict.fromkeys(joints())).index(name) for name in joints()]
    general_part, joint_part = people_constant("general_part"), people_constant("joint_part")
    deviation = (
        np.sqrt(general_part) * general[:, None]
        + np.sqrt(joint_part) * joint[:, places]
        + np.sqrt(1 - general_part - joint_part) * own
    )
    result: Array = np.exp(width * person_log_sds() * deviation)
    return result


def joint_count() -> int:
    """How many joints have a draw of their own."""
    return len(dict.fromkeys(joints()))


def grip_kg(sex: Sex) -> float:
    """The usual greatest grip of a young adult, kg (dodds2014)."""
    return people_constant(f"grip_{sex}_kg")
