"""Energy as it may be shown: a band with its error and the reason, never a bare number of kcal or MET."""

import math
from dataclasses import dataclass

from everyrung.terms.errors import Invalid

STEP = {"kcal": 5.0, "MET": 0.5}  # chosen, because finer digits would promise more than the error allows


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Band:
    """From `less` below the middle to `more` above it, both fractions of it; as text its ends, rounded outwards.

    `middle_not_for_show` is there to reckon and to test with. Raises Invalid for a unit without a step, a middle that
    is no finite number of at least zero, or an error that is none.
    """

    middle_not_for_show: float
    less: float
    more: float
    unit: str

    def __post_init__(self) -> None:
        if self.unit not in STEP:
            raise Invalid("energy: unit", " or ".join(STEP), self.unit)
        if not (math.isfinite(self.middle_not_for_show) and self.middle_not_for_show >= 0):
            raise Invalid(f"energy: {self.unit}", "0 or more", self.middle_not_for_show)
        if not (0 < self.less < 1 and 0 < self.more < math.inf):
            raise Invalid("energy: error", "some of 100 % less, and some % more", f"{self.less:g}, {self.more:g}")

    def holds(self, value: float) -> bool:
        """Whether a value measured elsewhere lies in the band."""
        middle = self.middle_not_for_show
        return middle * (1 - self.less) <= value <= middle * (1 + self.more)

    def __str__(self) -> str:
        step, middle = STEP[self.unit], self.middle_not_for_show
        low = math.floor(middle * (1 - self.less) / step) * step
        high = math.ceil(middle * (1 + self.more) / step) * step
        return f"{low:g} to {high:g} {self.unit}"

    __repr__ = __str__


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Energy:
    """What a session costs one body, resting included: both bands, and why they are as wide as they are."""

    kcal: Band
    met: Band
    reason: str

    def __post_init__(self) -> None:
        if (self.kcal.unit, self.met.unit) != ("kcal", "MET"):
            raise Invalid("energy: units", "a band of kcal and one of MET", f"{self.kcal.unit} and {self.met.unit}")
        if not self.reason.strip():
            raise Invalid("energy: reason", "why the band is as wide as it is", "nothing")

    def __str__(self) -> str:
        error = f"{100 * self.met.less:.0f} % less to {100 * self.met.more:.0f} % more"
        return f"{self.kcal}, {self.met} ({error}, because of {self.reason})"

    __repr__ = __str__
