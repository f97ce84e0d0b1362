"""How well each second of a transcript fits as the beginning of each set: evidence in nats, from the hits.

A name that is often said proves less: what a hit is worth is how much likelier it is where its set begins than by
chance, at the rate at which this transcript says it. The other numbers here are chosen, not fitted.
"""

from collections import Counter
from collections.abc import Sequence
from math import log

import numpy as np
from numpy.typing import NDArray

from everyrung.lookback.hits import Hit
from everyrung.lookback.plan_sets import PlanSet
from everyrung.lookback.vocabulary import Role

Floats = NDArray[np.float64]
SAID_WITHIN = 0.3  # chance that a name is said in one given second of its beginning, of the three around it
SILENT = -2.0  # a set that begins without a word of it
NEXT, NOT_NEXT = 1.4, -0.7  # a word such as "next" before the name, or none
OFFERED = -4.0  # after "easier" or "harder": a version is offered, no set begins
UNLIKE = 9.0  # nats for a likeness of 0 in place of 1
EDGE = 1.0  # less for every second that a beginning lies off the word
ROUND, ROUND_S = 2.0, 15  # "Round two" makes its first set likelier, so many seconds long
COUNT, COUNT_S, NEAR_COUNT_S = 1.0, 3, 4  # a count-in where the set's own would be, that long, to so many seconds
SAID_MORE = 2  # times that are added to what is counted: a phrase heard once is no proof


def onsets(hits: Sequence[Hit], sets: Sequence[PlanSet], seconds: int) -> Floats:
    """Nats by seconds of the recording: a row for each set, one for each set once more, and one for strays."""
    count = len(sets)
    fit = np.full((2 * count + 1, seconds), SILENT)
    times_said = Counter(hit.phrase.words for hit in hits)
    for hit in hits:
        value = _value(hit, (times_said[hit.phrase.words] + SAID_MORE) / seconds)
        role = hit.phrase.role
        if role is Role.STRAY and hit.is_next and not hit.is_offer:
            _raise(fit[-1], hit, value)
        for place, nats in hit.phrase.sets if role in (Role.NAME, Role.AGAIN) else ():
            _raise(fit[count + place], hit, value + nats)
            if role is Role.NAME:
                _raise(fit[place], hit, value + nats)
    fit[:count] += _rounds(hits, count, seconds) + _count_ins(hits, sets, seconds)
    return fit


def _rounds(hits: Sequence[Hit], count: int, seconds: int) -> Floats:
    """Nats for the first set of a round that is announced."""
    more = np.zeros((count, seconds))
    for hit in hits:
        second = hit.at_ms // 1000
        for place, _ in hit.phrase.sets if hit.phrase.role is Role.ROUND else ():
            more[place, max(0, second - 2) : second + ROUND_S] = ROUND
    return more


def _count_ins(hits: Sequence[Hit], sets: Sequence[PlanSet], seconds: int) -> Floats:
    """Nats for beginning where a count-in is as far away as in the plan."""
    more = np.zeros((len(sets), seconds))
    for hit in hits:
        for place, each in enumerate(sets if hit.phrase.role is Role.COUNT else ()):
            middle = hit.at_ms // 1000 + COUNT_S - (each.work_at_ms - each.at_ms) // 1000
            more[place, max(0, middle - NEAR_COUNT_S) : max(0, middle + NEAR_COUNT_S + 1)] = COUNT
    return more


def _value(hit: Hit, rate: float) -> float:
    likelier = log(SAID_WITHIN / rate) + (OFFERED if hit.is_offer else 0.0)
    return likelier + (NEXT if hit.is_next else NOT_NEXT) - UNLIKE * (1 - hit.likeness)


def _raise(row: Floats, hit: Hit, value: float) -> None:
    """Lifts the seconds around a hit, fewer nats the wider they are."""
    off = hit.off_ms / 1000
    reach = round(2 + 2 * off)
    flat = max(1.0, off)
    middle = hit.at_ms // 1000
    for second in range(max(0, middle - reach), min(len(row), middle + reach + 1)):
        away = abs(second - middle)
        worth = value - log(flat) - EDGE * max(0.0, away - flat)
        row[second] = max(row[second], worth)
