"""Self-checks measured in the solved poses: what a participant is told to look for, and whether this body shows it."""

from collections.abc import Sequence

import numpy as np

from everyrung.body.configuration import Configuration
from everyrung.body.coordinates import Array
from everyrung.body.pose_problem import PoseProblem
from everyrung.body.pose_vocabulary import parts, points
from everyrung.terms.demand import Demand, SelfCheckResult
from everyrung.terms.pose import SelfCheck

SAME_RANGE = 0.05  # chosen, because nobody sees a twentieth
PRESSING_N = 1.0  # chosen, because less is a hair's breadth from nothing


def measure_self_checks(
    configuration: Configuration, problem: PoseProblem, demands: Sequence[Demand]
) -> tuple[SelfCheckResult, ...]:
    """Every self-check of the pose `configuration` is in (full depth); `demands` are those of the whole repetition.

    Right angles and straight lines are those of the full depth: a rung with another range is not asked for them.

    Raises Invalid for a point or part that no body has.
    """
    checks = self_checks(problem)
    return tuple(_one(configuration, problem, demands, check) for check in checks)


def self_checks(problem: PoseProblem) -> tuple[SelfCheck, ...]:
    """The self-checks that hold for this rung's range."""
    full = abs(problem.range_share - 1.0) <= SAME_RANGE
    return tuple(check for check in problem.layer.self_checks if full or check.follows or check.stays)


def _one(
    configuration: Configuration, problem: PoseProblem, demands: Sequence[Demand], check: SelfCheck
) -> SelfCheckResult:
    if check.stays:
        names = [name.replace("_", " ") for name, _, _ in parts(check.stays, problem.working)]
        forces = {name: _least(demands, name) for name in names}
        least = min(forces.values())
        return SelfCheckResult(
            say=check.say, measured=f"{least:.0f} N at least", limit="pressing all through", met=least > PRESSING_N
        )
    if check.follows:
        off = _apart(configuration, problem, check.follows)
        return SelfCheckResult(
            say=check.say, measured=f"{off:.0f} degrees", limit=f"at most {check.within:g}", met=off <= check.within
        )
    angle = corner(*(_at(configuration, problem, name) for name in check.angle or check.straight))
    target_deg = 180.0 if check.straight else check.degrees
    limit = f"{target_deg:g} within {check.within:g}"
    return SelfCheckResult(
        say=check.say, measured=f"{angle:.0f} degrees", limit=limit, met=abs(angle - target_deg) <= check.within
    )


def _least(demands: Sequence[Demand], contact: str) -> float:
    """The least push of a support over the repetition; 0 where it is not touched."""
    return min(next((one.normal_n for one in each.reactions if one.contact == contact), 0.0) for each in demands)


def _at(configuration: Configuration, problem: PoseProblem, name: str) -> Array:
    """The middle of the points that a name means."""
    landmarks = points(name, configuration.body.point_names, problem.working)
    middle: Array = np.mean([configuration.point(point) for point, _ in landmarks], axis=0)
    return middle


def _apart(configuration: Configuration, problem: PoseProblem, names: Sequence[str]) -> float:
    """The angle in the floor plan between two lines, degrees."""
    start, end, other_start, other_end = (_at(configuration, problem, name)[:2] for name in names)
    one, other = end - start, other_end - other_start
    cross = one[0] * other[1] - one[1] * other[0]
    return float(np.degrees(abs(np.arctan2(cross, one @ other))))


def corner(one: Array, middle: Array, other: Array) -> float:
    """The angle at `middle` of three points (axis of each: xyz), degrees.

    >>> corner(np.array([1.0, 0.0, 0.0]), np.zeros(3), np.array([0.0, 2.0, 0.0]))
    90.0
    """
    first, second = one - middle, other - middle
    return float(np.degrees(np.arctan2(np.linalg.norm(np.cross(first, second)), first @ second)))
