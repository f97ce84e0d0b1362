"""The poses of a movement, from rest to full depth, for one body."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from everyrung.body.coordinates import Array
from everyrung.body.inverse_kinematics import Misfit, solve_pose
from everyrung.body.pose_problem import PoseProblem

DEPTHS = 9  # chosen, because the way through nine poses of a squat or lunge stays within 3 mm of a tenth
STEP_DEPTHS = 4  # of each step of an extra; chosen, because a step is a quarter of a movement or less


@dataclass(frozen=True, slots=True, kw_only=True)
class PoseAtDepth:
    """One pose of the movement: depth 0 to 1, beyond it in the steps of an extra; coordinates (coordinates.py), misfits,
    whether the search settled."""

    depth: float
    q_ind: Array
    misfits: tuple[Misfit, ...]
    settled: bool


def solve_depths(problem: PoseProblem, *, hold: bool = False) -> tuple[PoseAtDepth, ...]:
    """The poses from rest to full depth and through the steps of an extra, each sought from the one before; of a hold
    the one at full depth.

    A hold is sought in one go and may take as many steps as the poses of a movement together.
    """
    begun = problem.initial_guess()
    here, found = begun, []
    for depth in [1.0] if hold else _depths(len(problem.layer.steps)):
        given, share = problem.step(depth)
        for _ in range(DEPTHS if hold else 1):
            posed = solve_pose(problem.body, given.tasks(share), start=here, toward=begun)
            here = posed.q_ind
            if posed.settled:
                break
        found.append(PoseAtDepth(depth=depth, q_ind=here, misfits=posed.misfits, settled=posed.settled))
    return tuple(found)


def _depths(steps: int) -> list[float]:
    beyond = np.arange(1, steps * STEP_DEPTHS + 1) / STEP_DEPTHS
    return [*np.linspace(0.0, 1.0, DEPTHS).tolist(), *(1.0 + beyond).tolist()]


def full_of(solved: Sequence[PoseAtDepth]) -> PoseAtDepth:
    """The pose at full depth."""
    return next(one for one in solved if one.depth == 1.0)
