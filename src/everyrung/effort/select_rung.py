"""Which rung with which load: for each person the led one if it leaves them enough, else what comes nearest to it.

Everyone is to finish with some repetitions to spare. Who lacks the kit for the led rung, or is to avoid it, takes what
comes nearest to it, the harder ones too, and stays with it through the rounds. First-timers are capped: the lightest
load, never a harder rung, after their rounds the easier one. Where nothing can be finished: hold or skip.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from everyrung.effort.audience import Flags
from everyrung.effort.three_compartment import Array
from everyrung.terms.enums import Level, OptionKind

TARGET_LEFT = {
    Level.GENTLE: 4.0,
    Level.MODERATE: 3.0,
    Level.HARD: 2.0,
}  # repetitions; chosen, because the guidelines ask
# for an effort short of failure in open classes, and a gentle one further from it
NEWCOMER_LEFT = 4.0  # chosen, because those who do not know themselves misjudge by 2 (Hackett 2017)
TOO_EASY_LEFT = 10.0  # chosen, because farther from failure nobody can tell how far (Hackett 2017: over 2 at 7 to 10)
TOO_EASY_TIMES = 2.0  # what is asked; chosen, because who could do the set three times over is not trained by it
S_A_REP = 3.0  # what a second of a hold counts for; chosen, because a repetition takes about 3 s
NOTHING = -1
LED, HARDER_BETTER, IN_PLACE, ONLY_JUST, NEVER = 10.0, 5.0, 20.0, 40.0, np.inf  # tiers, the lowest is taken


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """One offer with one load: what it asks, by person whether it may be done, and what it leaves, in repetitions.

    `above`: it is a harder rung than the led one. By person `apart` is what going on with it costs after the round
    before, `first_down` whether it would take them to the floor for the first time there.
    """

    offer: int
    kind: OptionKind | None
    load_kg: float
    asked: float
    may: Flags
    left: Array
    grade: int
    above: bool
    apart: Array
    first_down: Flags


def targets(level: Level, new: Flags) -> Array:
    """Repetitions to be left, by person."""
    return np.where(new, np.maximum(NEWCOMER_LEFT, TARGET_LEFT[level]), TARGET_LEFT[level])


def select_rung(candidates: list[Candidate], target: Array, new: Flags, *, newcomers_led: bool) -> NDArray[np.int64]:
    """The place of each person's candidate, NOTHING where none can be finished.

    `newcomers_led` is false in the rounds that first-timers are not led through.
    """
    easy = _too_easy(candidates, target, new)
    led = np.zeros(len(new), dtype=bool)
    for one in candidates:
        led |= one.may & (one.kind is None)
    scores = np.stack([_score(one, target, new, easy, led, newcomers_led) for one in candidates])
    best = scores.argmin(axis=0)
    chosen: NDArray[np.int64] = np.where(np.isfinite(scores.min(axis=0)), best, NOTHING)
    return chosen


def _too_easy(candidates: list[Candidate], target: Array, new: Flags) -> Flags:
    """Who would be left with more than anyone can judge by the heaviest led load that they have."""
    least, most = np.full(len(new), np.inf), TOO_EASY_LEFT
    for one in candidates:
        if one.kind is None:
            least = np.where(one.may & (one.left >= target), np.minimum(least, one.left), least)
            most = max(most, TOO_EASY_TIMES * one.asked)
    found: Flags = np.isfinite(least) & (least > most) & ~new
    return found


def _score(one: Candidate, target: Array, new: Flags, easy: Flags, led: Flags, newcomers_led: bool) -> Array:
    """Tier and, below 1, the order within it: of loads the heaviest (first-timers: the lightest), of rungs the one
    that leaves least above the target. Who may do the led rung (`led`) takes the harder one only where that is too
    easy."""
    enough = one.left >= target
    near = np.minimum(one.left - target, 99.0) / 100 - np.where(new, 0.0, one.grade / 1000)  # alike: the higher
    weight = one.load_kg / 1000
    by_load = np.where(new, weight, 0.5 - weight)
    if one.kind is None:
        tier = np.where(new & (not newcomers_led), IN_PLACE + 5, LED) + by_load
    elif one.kind is OptionKind.HARDER:
        tier = np.where(easy, HARDER_BETTER, np.where(led, IN_PLACE + 10, IN_PLACE + one.apart)) + near
    else:
        tier = IN_PLACE + near + one.apart + np.where(new, weight, 0.0)
    just = ONLY_JUST - np.clip(one.left, 0, 99) / 100 + (10 if one.kind is OptionKind.HARDER else 0)
    score: Array = np.where(enough, tier, np.where(one.left >= 0, just, NEVER))
    barred = new & (one.above | (one.first_down & (one.kind is not None) & (not newcomers_led)))
    return np.where(one.may & ~barred, score, NEVER)
