"""Which ball, by stature: the chart of a session as a table that a page can look up."""

from dataclasses import dataclass
from itertools import groupby

from everyrung.effort.balls import HEAVY_KG, Purpose, ball_advice
from everyrung.terms.person import MAX_STATURE_M, MIN_STATURE_M

LOW_CM, HIGH_CM = round(MIN_STATURE_M * 100), round(MAX_STATURE_M * 100)


@dataclass(frozen=True, slots=True, kw_only=True)
class BallRow:
    """Up to this stature, cm: the diameters, and the whole advice with its test."""

    to_cm: int
    sizes: str
    words: str


def ball_rows(purpose: Purpose) -> tuple[BallRow, ...]:
    """The ranges for every stature, in whole cm, neighbours alike put together."""
    advice = [(stature_cm, *_advice(purpose, stature_cm)) for stature_cm in range(LOW_CM, HIGH_CM + 1)]
    result = []
    for (sizes, words), each in groupby(advice, key=lambda row: row[1:]):
        *_, (to_cm, _, _) = each
        result.append(BallRow(to_cm=to_cm, sizes=sizes, words=words))
    return tuple(result)


def _advice(purpose: Purpose, stature_cm: int) -> tuple[str, str]:
    """Range and advice; where heavy people take a larger one, from when on."""
    usual = ball_advice(purpose, stature_cm / 100, None)
    heavy = ball_advice(purpose, stature_cm / 100, HEAVY_KG)
    more = ""
    if heavy.sizes_cm != usual.sizes_cm:
        more = f" From {HEAVY_KG:g} kg of body mass on, up to {heavy.sizes_cm[-1]:g} cm."
    return f"{usual.sizes_cm[0]:g} to {usual.sizes_cm[-1]:g} cm", f"{usual}.{more}"
