"""What a pose leaves open (a trunk's lean, where the soles are pressed), where it costs this body the least effort.

The effort is the sum over all joints of (part of its strength)^2, so that a joint near its limit counts most: how
people lift freely follows such measures (Dysart and Woldstad 1996 compared three; from memory). It is made least in
the still pose at the rung's own depth; each value takes a share of the room that the pose gives it there, and the same
share of its room at every other depth. What is written is preferred where effort hardly tells.

The parts of strength are nearly linear in the values, so Gauss and Newton's steps arrive in two or three.
"""

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from everyrung.body.configuration import Configuration
from everyrung.body.coordinates import Array
from everyrung.body.demand import effort_parts
from everyrung.body.inverse_kinematics import solve_pose
from everyrung.body.pose_problem import PoseProblem

PREFERENCE = 0.05  # of a joint's strength, for the whole room; chosen, because less than that is not felt
MISFIT = 3.0  # of what is left of a task; chosen, because 2 cm then count like two fifths of a joint's strength
NUDGE = 0.15  # of the room; chosen, because it is some degrees, over which supports change hands smoothly
ROUNDS = 2  # chosen, because a third moved no trunk by more than a degree
FULL = 1.0  # the rung's own depth
TRIES = 2  # of a step, each half as long; chosen, because the first one nearly always falls


def least_effort_posture(problem: PoseProblem, start: Array, toward: Array) -> dict[str, float]:
    """The share of its room, -1 to 1, that each open value takes; the pose at the rung's own depth is sought from
    `start` (axis of both poses: as in coordinates.py; m, quaternion, rad). Raises Invalid and NoSolution as `demand`.
    """
    names, here, configuration = list(problem.room(FULL)), start, Configuration(problem.body)
    contacts, loads, pulls = problem.contacts(FULL), problem.held_loads(FULL), problem.pulls(FULL)

    def parts(share: Array) -> tuple[Array, Array]:
        there = replace(problem, posture=dict(zip(names, share.tolist(), strict=True)))
        pose = solve_pose(problem.body, there.tasks(FULL), start=here, toward=toward)
        configuration.set_q(pose.q_ind)
        efforts = effort_parts(configuration, contacts, loads, pulls)
        return np.concatenate([efforts, MISFIT * pose.firmly_off, PREFERENCE * share]), pose.q_ind

    share = np.zeros(len(names))
    if not names:
        return {}
    now, here = parts(share)
    for _ in range(ROUNDS):
        step = _step(parts, share, now)
        if step is None:
            break
        share, now, here = step
    return dict(zip(names, share.tolist(), strict=True))


def _step(parts: Callable[[Array], tuple[Array, Array]], share: Array, now: Array) -> tuple[Array, Array, Array] | None:
    """One step down: the shares of the room (axis: open value), the parts there, the pose; None where none is less."""
    columns = []
    for at in range(len(share)):
        nudge = np.zeros(len(share))
        nudge[at] = NUDGE if share[at] < 1 - NUDGE else -NUDGE
        columns.append((parts(share + nudge)[0] - now) / nudge[at])
    way = bounded_least_squares(np.column_stack(columns), now, share) - share
    for _ in range(TRIES):
        there, here = parts(share + way)
        if there @ there < now @ now:
            return share + way, there, here
        way = way / 2
    return None


def bounded_least_squares(slopes: Array, now: Array, share: Array) -> Array:
    """Where `now + slopes (x - share)` is shortest (axes: part, open value), each x between -1 and 1: what would leave
    is put to its end, one at a time, and the others sought again.

    >>> bounded_least_squares(np.eye(2), np.array([3.0, 0.5]), np.zeros(2)).tolist()
    [-1.0, -0.5]
    """
    x, free = share.copy(), np.ones(len(share), dtype=bool)
    while free.any():
        left = now + slopes @ (x - share)
        x[free] -= np.linalg.lstsq(slopes[:, free], left, rcond=None)[0]
        beyond = np.where(free, np.abs(x) - 1, 0.0)
        worst = int(np.argmax(beyond))
        if beyond[worst] <= 0:
            break
        x[worst], free[worst] = np.sign(x[worst]), False
    return np.clip(x, -1, 1)
