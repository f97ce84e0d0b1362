"""A body as a coach knows it: sex, stature, mass.

A person as far as a coach knows them; what is left out is None, and whoever uses it says what was taken.
"""

import math
import unicodedata
from dataclasses import field
from enum import StrEnum

from everyrung.terms.enums import BandGrade, Caution, KitItem
from everyrung.terms.errors import Invalid, Where, member, require, require_number
from everyrung.terms.frozen import dataclass
from everyrung.terms.units import MAX_STEP_CM, MIN_STEP_CM, Mass

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


NO_FILE = Where(file="Python", line=0, field="person")  # who was never in a file
MIN_AGE, MAX_AGE = 16, 100  # chosen, because the tables are of adults
MIN_MASS_KG, MAX_MASS_KG = 30.0, 250.0  # chosen, because adults outside are not in the survey


class Experience(StrEnum):
    """How used someone is to sessions like these."""

    NEW = "new"
    REGULAR = "regular"
    STRONG = "strong"


def same_name(name: str) -> str:
    """What two spellings of one name have in common: case, spaces and how accents are stored do not count."""
    return " ".join(unicodedata.normalize("NFC", name.casefold()).split())


@dataclass(frozen=True, slots=True, kw_only=True)
class Own:
    """One kind of kit someone has: `pieces` of it. `word` is what another household thing that is lifted is called."""

    item: KitItem
    pieces: int = 1
    mass: Mass | None = None
    diameter_cm: float | None = None
    rated_kg: float | None = None
    grade: BandGrade | None = None
    word: str = ""
    height_cm: float | None = None

    def __post_init__(self) -> None:
        require(1 <= self.pieces <= 20, "pieces", "1 to 20 pieces", self.pieces)
        is_weight = self.item.has_mass
        require(
            is_weight == (self.mass is not None), "mass", "a mass for what is lifted, and only there", str(self.mass)
        )
        require(self.word not in tuple(KitItem), "word", "a name that is no item's", self.word)
        ball = self.item is KitItem.BALL
        require(ball == (self.diameter_cm is not None), "diameter", "a diameter for balls only", self.diameter_cm)
        require(ball or self.rated_kg is None, "rated", "a rated load for balls only", self.rated_kg)
        require(ball is False or 20 <= (self.diameter_cm or 0) <= 120, "diameter", "20 to 120 cm", self.diameter_cm)
        require(self.item.has_grade == (self.grade is not None), "grade", "a grade for bands only", self.grade)
        require(self.grade is None or self.grade.item is self.item, "grade", f"a grade of a {self.item}", self.grade)
        step = self.height_cm is None or (self.item is KitItem.STEP and MIN_STEP_CM <= self.height_cm <= MAX_STEP_CM)
        require(step, "height", f"{MIN_STEP_CM:g} to {MAX_STEP_CM:g} cm, for a step", self.height_cm)

    @property
    def thing_name(self) -> str:
        """What the thing that is lifted is called; '' for a dumbbell."""
        return self.word or ("" if self.item is KitItem.DUMBBELLS else str(self.item))

    def __str__(self) -> str:
        if self.mass:
            name = f"{self.thing_name} of {self.mass}" if self.thing_name else str(self.mass)
            return name if self.pieces == 1 else f"{self.pieces} x {name}"
        name = str(self.grade or self.item) + (f" {self.height_cm:g} cm" if self.height_cm else "")
        if self.diameter_cm:
            name = f"ball {self.diameter_cm:g} cm" + (f" rated {self.rated_kg:g} kg" if self.rated_kg else "")
        return name if self.pieces == 1 else f"{self.pieces} x {name}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """A factor against people of the same sex, age, size and level, and the SD of its logarithm."""

    factor: float
    log_sd: float

    def __post_init__(self) -> None:
        require(0.2 <= self.factor <= 5.0, "factor", "0.2 to 5", self.factor)
        require(
            0 < self.log_sd <= 1.0 and math.isfinite(self.log_sd), "error", "more than 0 and at most 1", self.log_sd
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Health:
    """What someone said in confidence: kept in a file of its own, never printed on anything that is shared."""

    limits: tuple[Caution, ...] = ()
    rate_limiting: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """One person: name, stature in m, and what else is known: mass in kg, age in years, sex ("female" or "male"), level
    ("new", "regular" or "strong"), their own kit.

    `strength` and `endurance` are there once answers have been learned from. Raises Invalid for what no adult has.

    >>> Person(name="Aino", stature_m=1.65, level="new").level
    <Experience.NEW: 'new'>
    """

    where: Where = field(default=NO_FILE, compare=False)
    name: str
    stature_m: float
    mass_kg: float | None = None
    age: int | None = None
    sex: Sex | None = None
    level: Experience | None = None
    kit: tuple[Own, ...] = ()
    strength: Estimate | None = None
    endurance: Estimate | None = None
    health: Health = field(default_factory=Health)

    def __post_init__(self) -> None:
        require(isinstance(self.name, str) and bool(self.name.strip()), "name", "a name", self.name)
        self._check_types()
        low, high = MIN_STATURE_M, MAX_STATURE_M
        tall = f"{low * 100:.0f} to {high * 100:.0f} cm"
        require(low <= self.stature_m <= high, "stature", tall, f"{self.stature_m * 100:g} cm")
        mass = self.mass_kg is None or MIN_MASS_KG <= self.mass_kg <= MAX_MASS_KG
        require(mass, "mass", f"{MIN_MASS_KG:g} to {MAX_MASS_KG:g} kg", self.mass_kg)
        require(self.age is None or MIN_AGE <= self.age <= MAX_AGE, "age", f"{MIN_AGE} to {MAX_AGE} years", self.age)

    def _check_types(self) -> None:
        require_number("stature_m", "a stature in m, such as 1.65", self.stature_m)
        for name, kind in (("sex", Sex), ("level", Experience)):
            if (value := getattr(self, name)) is not None:
                object.__setattr__(self, name, member(kind, name, value))
        for name, expected in (("mass_kg", "a mass in kg, such as 62"), ("age", "an age in years")):
            if (value := getattr(self, name)) is not None:
                require_number(name, expected, value)
