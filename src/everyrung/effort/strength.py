"""How strong a person is against the body model of their sex and size: age, training, and the rest."""

from functools import cache

import numpy as np
from numpy.typing import NDArray

from everyrung.effort.three_compartment import Array
from everyrung.tables.reader import read_table
from everyrung.terms.person import Experience, Sex

GRIP = "grip"


@cache
def strength_constant(name: str) -> float:
    """One value of tables/strength_people.csv. Raises KeyError when there is none."""
    return {row["name"]: float(row["value"]) for row in read_table("strength_people").rows}[name]


@cache
def motions() -> tuple[str, ...]:
    """Every direction of a joint that has a strength of its own, without sides (nobody's differ: Borges 1989)."""
    return (*(row["motion"] for row in read_table("joint_strength").rows), GRIP)


def unsided(motion: str) -> str:
    """'knee_extension' of 'knee_extension_left'."""
    return motion.removesuffix("_left").removesuffix("_right")


def age_factor(male: NDArray[np.bool_], age: Array) -> Array:
    """Strength against that of young adults: level at first, then a straight line through the value at 75."""
    begins = np.where(male, strength_constant("age_male_from"), strength_constant("age_female_from"))
    at_75 = np.where(male, strength_constant("age_male_at_75"), strength_constant("age_female_at_75"))
    found: Array = 1 - (1 - at_75) * np.maximum(age - begins, 0.0) / (75 - begins)
    return found


def field_factors() -> Array:
    """By motion, what people can do in a whole movement against what dynamometers find."""
    return np.array([strength_constant("field_ankle" if name.startswith("ankle") else "field_all") for name in motions()])


def training_factor(level: Experience) -> float:
    """Strength against that of untrained people of the same age, sex and size."""
    return strength_constant(f"training_{level}")


def scatter(shared: Array, own: Array, width: float = 1.0) -> Array:
    """Factors by person and motion from standard normal draws: `shared` by person, `own` by person and motion.

    `width` stretches the spread, to see what hangs on it.
    """
    sd, part = strength_constant("scatter_log_sd") * width, strength_constant("shared_part")
    found: Array = np.exp(sd * (np.sqrt(part) * shared[:, None] + np.sqrt(1 - part) * own))
    return found


def grip_kg(sex: Sex) -> float:
    """The usual greatest grip of a young adult, kg."""
    return strength_constant(f"grip_{sex}_kg")
