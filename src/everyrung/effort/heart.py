"""Heart rate as a band: greatest rates, reserve, what a session's oxygen predicts; and training load.

People on medicine that limits the heart rate get no judgement by it at all.

What may be said of heart rates: the band of an audience, and the line on one person's card.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from statistics import median

from everyrung.body.energy import error
from everyrung.tables.reader import read_table
from everyrung.terms.errors import require
from everyrung.terms.person import Sex

NO_JUDGEMENT = "Your heart rate won't tell you much: go by how it feels."
ML_A_MET = 3.5  # by definition
# Lower ends of the reserve's parts: ACSM guidelines, from memory.


@cache
def constants() -> dict[str, float]:
    """The values of tables/heart.csv by name, in the unit of their row."""
    return {row["name"]: float(row["value"]) for row in read_table("heart").rows}


@dataclass(frozen=True, slots=True, kw_only=True)
class Rates:
    """A band of rates, beats a minute; never shown as one number. Raises Invalid unless 0 < low <= high."""

    low_bpm: float
    high_bpm: float

    def __post_init__(self) -> None:
        require(
            0 < self.low_bpm <= self.high_bpm, "rates", "a low rate, then a high one", (self.low_bpm, self.high_bpm)
        )

    def __str__(self) -> str:
        low, high = 5 * math.floor(self.low_bpm / 5), 5 * math.ceil(self.high_bpm / 5)
        return f"{low} to {high} beats a minute"


def tanaka_bpm(age: float) -> float:
    """The greatest rate at an age in years by tanaka2001: 208 - 0.7 age.

    >>> tanaka_bpm(40)
    180.0
    """
    return constants()["tanaka_at_0"] - constants()["greatest_a_year"] * age


def gellish_bpm(age: float) -> float:
    """The greatest rate at an age in years by gellish2007: 207 - 0.7 age."""
    return constants()["gellish_at_0"] - constants()["greatest_a_year"] * age


def greatest(age: float) -> Rates:
    """The band of greatest rates at an age in years: both lines with the spread between people (tanaka2001,
    gellish2007).

    >>> print(greatest(40))
    165 to 190 beats a minute
    """
    sd = constants()["greatest_sd"]
    return Rates(low_bpm=gellish_bpm(age) - sd, high_bpm=tanaka_bpm(age) + sd)


def karvonen_bpm(rest_bpm: float, greatest_bpm: float, part: float) -> float:
    """The rate at a part, 0 to 1, of the reserve between rest and the greatest (karvonen1957)."""
    return rest_bpm + part * (greatest_bpm - rest_bpm)


def reserve_part(rate_bpm: float, rest_bpm: float, greatest_bpm: float) -> float:
    """The part of the reserve that a rate is, 0 to 1: the inverse of `karvonen_bpm`.

    >>> karvonen_bpm(60, 180, 0.5), reserve_part(120, 60, 180)
    (120.0, 0.5)
    """
    return (rate_bpm - rest_bpm) / (greatest_bpm - rest_bpm)


def capacity_met(age: float, sex: Sex) -> float:
    """The median aerobic capacity at an age in years, on a straight line through the registry's youngest and oldest
    (kaminsky2015).
    """
    young, old = (constants()[f"capacity_{sex}_{at}"] for at in (25, 75))
    return (young + (old - young) * (min(max(age, 20.0), 80.0) - 25) / 50) / ML_A_MET


def predict_heart_rate(
    age: float, sex: Sex, met_low: float, met_high: float, *, rate_limiting: bool = False
) -> Rates | None:
    """The band of mean rates while the body works at this many METs; None for people on rate-limiting medicine.

    The part of the oxygen reserve that is used is taken for that of the heart-rate reserve (acsm2021, from memory).
    What is not known of oxygen, capacity, resting and greatest rate is independent, so its squares add up.
    """
    if rate_limiting:
        return None
    by, most = constants(), greatest(age)
    capacity, spread = capacity_met(age, sex), by["capacity_spread"]
    usual = (math.sqrt(met_low * met_high), capacity, (by["rest_low"] + by["rest_high"]) / 2, _middle(most))
    middle = _rate(*usual)
    ends = [
        (_rate(met_low, *usual[1:]), _rate(met_high, *usual[1:])),
        tuple(_rate(usual[0], capacity * (1 + side * spread), *usual[2:]) for side in (1, -1)),
        tuple(_rate(*usual[:2], by[end], usual[3]) for end in ("rest_low", "rest_high")),
        tuple(_rate(*usual[:3], end) for end in (most.low_bpm, most.high_bpm)),
    ]
    extra = by["strength_extra"] * (usual[3] - usual[2])
    low, high = (math.hypot(*(each[end] - middle for each in ends)) for end in (0, 1))
    return Rates(low_bpm=max(middle - low, by["rest_low"]), high_bpm=min(middle + high + extra, most.high_bpm))


def _rate(mets: float, capacity: float, rest_bpm: float, greatest_bpm: float) -> float:
    return karvonen_bpm(rest_bpm, greatest_bpm, _part(mets, capacity))


def _middle(rates: Rates) -> float:
    return (rates.low_bpm + rates.high_bpm) / 2


def _part(mets: float, capacity: float) -> float:
    """The part of the oxygen reserve between rest (1 MET) and the capacity."""
    return min(max((mets - 1) / max(capacity - 1, 0.5), 0.0), 1.0)


def banister(minutes: float, mean_bpm: float, rest_bpm: float, greatest_bpm: float, sex: Sex) -> float:
    """Training impulse (banister1991): minutes times the part of the reserve, weighted by an exponential of it.

    >>> round(banister(30, mean_bpm=120, rest_bpm=60, greatest_bpm=180, sex=Sex.MALE))
    25
    """
    part = reserve_part(mean_bpm, rest_bpm, greatest_bpm)
    return minutes * part * constants()[f"banister_{sex}_k"] * math.exp(constants()[f"banister_{sex}_b"] * part)


def edwards(minutes: Sequence[float]) -> float:
    """Training load: minutes in five zones of the greatest rate, 50 to 60 % first, weighted 1 to 5 (edwards1993, from
    memory). Raises Invalid for another number of zones.
    """
    require(len(minutes) == 5, "minutes", "five zones", len(minutes))
    return sum(weight * each for weight, each in enumerate(minutes, start=1))


def band_of_rates(people: Sequence[tuple[float, Sex, float]]) -> str:
    """The mean rate in the main part of the middle one of people without rate-limiting medicine, in words; each is
    given by age in years, sex and mean METs. As wide as the errors of the METs and of the tables make it.
    """
    if not people:
        return NO_JUDGEMENT
    less, more = error()
    bands = [predict_heart_rate(age, sex, mets * (1 - less), mets * (1 + more)) for age, sex, mets in people]
    middle = Rates(
        low_bpm=median(band.low_bpm for band in bands if band), high_bpm=median(band.high_bpm for band in bands if band)
    )
    return f"{middle} for the middle person: from energy, age and fitness tables, so no more than a hint."


def heart_words(age: int, rate_limiting: bool) -> str:
    """For a card: nothing but the band of the greatest rate at an age in years, or no judgement at all."""
    if rate_limiting:
        return NO_JUDGEMENT
    return f"Heart rate, if you watch it: your highest is likely {greatest(age)}; effort counts for more."
