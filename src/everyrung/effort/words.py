"""A coach's words for what the fatigue model says."""

import math

from everyrung.effort.people_strength import without_side
from everyrung.terms.enums import OptionKind
from everyrung.terms.forecast import Spread
from everyrung.terms.person import Estimate

# The words of tables/focus.csv, for the directions of joints that fatigue is computed for.
_LIMITERS = {
    "hip_extension": "buttocks and back of the thigh",
    "hip_flexion": "front of the hip",
    "hip_abduction": "side of the hip",
    "hip_adduction": "inner thigh",
    "knee_extension": "front of the thigh",
    "knee_flexion": "back of the thigh",
    "ankle_plantarflexion": "calf",
    "trunk_extension": "back",
    "trunk_flexion": "front of the trunk",
    "trunk_bend": "waist",
    "trunk_turn": "waist",
    "shoulder_flexion": "front of the shoulder",
    "shoulder_extension": "back of the shoulder",
    "shoulder_abduction": "side of the shoulder",
    "shoulder_adduction": "chest",
    "elbow_flexion": "front of the upper arm",
    "elbow_extension": "back of the upper arm",
    "grip": "grip",
}
NUMBER_LEFT = (
    4.0  # repetitions left up to which a number may be said (Zourdos 2016; Hackett 2017: 1 off there, over 2 beyond)
)
EASY_LEFT = 10.0  # chosen, because beyond ten left nobody would call it moderate


def limiters() -> tuple[str, ...]:
    """The motions that can stop a set, without sides."""
    return tuple(_LIMITERS)


def limiter(motion: str) -> str:
    """'front of the thigh' for 'knee_extension_left'. Raises KeyError for a motion that fatigue is not computed for."""
    return _LIMITERS[without_side(motion)]


def effort(left: float) -> str:
    """How hard a set is that leaves `left` repetitions: a rating of perceived exertion (10 - left, zourdos2016) only
    where four or fewer are left, words otherwise.

    >>> effort(2.4), effort(6), effort(20)
    ('RPE 8', 'moderate', 'easy')
    """
    if left < 0:
        return "not finished"
    if left <= NUMBER_LEFT:
        return f"RPE {10 - int(left)}"
    return "moderate" if left <= EASY_LEFT else "easy"


def effort_range(left: Spread | None) -> str:
    """'RPE 7 to easy': from the hardest worked tenth of people to the easiest; '' for nobody."""
    if left is None:
        return ""
    hardest, easiest = effort(left.p10), effort(left.p90)
    return hardest if hardest == easiest else f"{hardest} to {easiest}"


def left_words(left: float, unit: str = "reps") -> str:
    """'about 3 left', or no number where none is worth anything; of holds, seconds."""
    if unit == "s":
        return f"about {5 * round(left / 5):g} s left" if left >= 5 else "hardly a second left"
    if left > NUMBER_LEFT:
        return "some left" if left <= EASY_LEFT else "plenty left"
    return f"about {int(left)} left" if left >= 1 else "none left"


def kind_words(kind: OptionKind | None) -> str:
    """'as led', or the option's kind."""
    return str(kind) if kind else "as led"


def estimate_words(estimate: Estimate) -> str:
    """'1.10 (0.90 to 1.34)': the factor, and where nineteen of twenty such people lie."""
    low, high = (estimate.factor * math.exp(side * 1.96 * estimate.log_sd) for side in (-1, 1))
    return f"{estimate.factor:.2f} ({low:.2f} to {high:.2f})"
