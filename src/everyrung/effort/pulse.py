"""What may be said of heart rates: the band of an audience, and the line on one person's card."""

from collections.abc import Sequence
from statistics import median

from everyrung.body.energy import error
from everyrung.effort.heart import NO_JUDGEMENT, Rates, greatest, predicted
from everyrung.terms.person import Sex


def band_of_rates(people: Sequence[tuple[float, Sex, float]]) -> str:
    """The mean rate in the main part of the middle one of people without rate-limiting medicine, of whom each is given
    by age, sex and mean METs; as wide as the errors of the METs and of the tables make it.
    """
    if not people:
        return NO_JUDGEMENT
    less, more = error()
    bands = [predicted(age, sex, met * (1 - less), met * (1 + more)) for age, sex, met in people]
    middle = Rates(
        low_bpm=median(band.low_bpm for band in bands if band), high_bpm=median(band.high_bpm for band in bands if band)
    )
    return f"{middle} for the middle person: from energy, age and fitness tables, so no more than a hint."


def heart_words(age: int, rate_limiting: bool) -> str:
    """For a card: nothing but the greatest rate's band by age, or no judgement at all."""
    if rate_limiting:
        return NO_JUDGEMENT
    return f"Heart rate, if you watch it: the most by age is {greatest(age)} between people; effort counts for more."
