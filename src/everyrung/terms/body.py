"""A body as a coach knows it: sex, stature, mass."""

from dataclasses import dataclass
from enum import StrEnum

from everyrung.terms.errors import Invalid, member, require_number

MIN_STATURE_M, MAX_STATURE_M = 1.30, 2.20  # chosen, because adults outside are too far from the survey's 1.41 to 1.99 m
MIN_BMI, MAX_BMI = 14.0, 55.0  # chosen, because the survey's regressions say nothing of bodies outside


class Sex(StrEnum):
    """Which published table of proportions, segment masses and strengths a body is built from."""

    FEMALE = "female"
    MALE = "male"


@dataclass(frozen=True, slots=True, kw_only=True)
class BodySize:
    """What a body model is built from: sex ("female" or "male"), stature in m, mass in kg.

    Raises Invalid for something else, and when no adult is so tall, or so heavy for it.

    >>> str(BodySize(sex="female", stature_m=1.65, mass_kg=62))
    'female, 165 cm, 62 kg'
    """

    sex: Sex
    stature_m: float
    mass_kg: float

    def __post_init__(self) -> None:
        object.__setattr__(self, "sex", member(Sex, "sex", self.sex))
        require_number("stature_m", "a stature in m, such as 1.65", self.stature_m)
        require_number("mass_kg", "a mass in kg, such as 62", self.mass_kg)
        if not MIN_STATURE_M <= self.stature_m <= MAX_STATURE_M:
            tall = f"{MIN_STATURE_M * 100:g} to {MAX_STATURE_M * 100:g} cm"
            raise Invalid("stature", tall, f"{self.stature_m * 100:g} cm")
        if not MIN_BMI <= self.bmi <= MAX_BMI:
            low, high = (limit * self.stature_m**2 for limit in (MIN_BMI, MAX_BMI))
            raise Invalid("mass", f"{low:.0f} to {high:.0f} kg at {self.stature_m * 100:g} cm", f"{self.mass_kg:g} kg")

    @property
    def bmi(self) -> float:
        """Mass over stature squared, kg/m2."""
        return self.mass_kg / self.stature_m**2

    def __str__(self) -> str:
        return f"{self.sex}, {self.stature_m * 100:.0f} cm, {self.mass_kg:.0f} kg"
