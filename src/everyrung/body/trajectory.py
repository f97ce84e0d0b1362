"""The poses of a movement, from rest to full depth, for one body.

One repetition in time: a smooth path through the solved poses, at the rung's tempo.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import accumulate, pairwise
from math import ceil, cos, pi

import numpy as np
from scipy.interpolate import CubicSpline  # type: ignore[import-untyped,unused-ignore]

from everyrung.body.configuration import integrate
from everyrung.body.coordinates import Array
from everyrung.body.inverse_dynamics import Motion, difference, finite_difference
from everyrung.body.inverse_kinematics import Misfit, PoseSolution, solve_pose
from everyrung.body.pose_problem import PoseProblem
from everyrung.body.posture import least_effort_posture
from everyrung.terms.enums import End
from everyrung.terms.units import Tempo

DEPTHS = 9  # chosen, because the way through nine poses of a squat or lunge stays within 4 mm of a tenth
WAY_THERE = (0.5, 1.0)  # chosen, because only where the last one begins is asked for
STEP_DEPTHS = 4  # of each step of an extra; chosen, because a step is a quarter of a movement or less


@dataclass(frozen=True, slots=True, kw_only=True)
class PoseAtDepth:
    """One pose of the movement: depth 0 to 1, beyond it in the steps of an extra; coordinates (axis: as in
    coordinates.py; m, quaternion, rad), misfits, whether the search has converged.
    """

    depth: float
    q_ind: Array
    misfits: tuple[Misfit, ...]
    has_converged: bool


def solve_depths(problem: PoseProblem, *, hold: bool = False) -> tuple[PoseAtDepth, ...]:
    """The poses from rest to full depth and through the steps of an extra, each sought from the one before; of a hold
    the one at full depth. What the pose leaves open is where it costs the least effort.

    A hold is sought in one go and may take as many steps as the poses of a movement together. Raises Invalid for a pose
    that names what no body has, NoSolution when its effort is not found.
    """
    guess = problem.initial_guess()
    full_problem, here = settle(problem, guess, hold=hold)
    poses = []
    for depth in [1.0] if hold else _depths(len(problem.layer.steps)):
        setting, share = full_problem.step(depth)
        pose = _solve(setting, share, here, guess, DEPTHS if hold else 1)
        here = pose.q_ind
        poses.append(PoseAtDepth(depth=depth, q_ind=here, misfits=pose.misfits, has_converged=pose.has_converged))
    return tuple(poses)


def _solve(problem: PoseProblem, depth: float, start: Array, toward: Array, times: int = 1) -> PoseSolution:
    for _ in range(times):
        pose = solve_pose(problem.body, problem.tasks(depth), start=start, toward=toward)
        start = pose.q_ind
        if pose.has_converged:
            break
    return pose


def settle(problem: PoseProblem, guess: Array, *, hold: bool = False) -> tuple[PoseProblem, Array]:
    """The problem with what it leaves open chosen, and the pose where its search is to begin; `guess` is its first
    guess (axis of both: as in coordinates.py; m, quaternion, rad). Raises Invalid and NoSolution as `solve_depths`.
    """
    if not problem.layer.open:
        return problem, guess
    here = first = _solve(problem, 1.0 if hold else 0.0, guess, guess, DEPTHS if hold else 1).q_ind
    for depth in () if hold else WAY_THERE:
        here = _solve(problem, depth, here, guess).q_ind
    return replace(problem, posture=least_effort_posture(problem, here, guess)), first


def _depths(steps: int) -> list[float]:
    beyond = np.arange(1, steps * STEP_DEPTHS + 1) / STEP_DEPTHS
    return [*np.linspace(0.0, 1.0, DEPTHS).tolist(), *(1.0 + beyond).tolist()]


def full_of(poses: Sequence[PoseAtDepth]) -> PoseAtDepth:
    """The one at depth 1, beyond which an extra may go on. Raises StopIteration where none is."""
    return next(one for one in poses if one.depth == 1.0)


POSES = 20  # a repetition; chosen, because every pause and the middle of every movement then has its own
STEP_POSES = 5  # one way through a step of an extra; chosen, because a step is a quarter of a movement or less
STEP_S = 0.01  # chosen, because a cosine's second difference over it errs by less than 0.1 %


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample:
    """One instant of a repetition, which stands for `weight_ms` of it; the body is still where motion is None.

    `phase` counts in the order of time: on the way, at full depth, on the way back, at rest. `depth` is beyond 1 in the
    steps of an extra, one whole number each. Of a pause `at_ms` is its end, when what is held has been held
    longest.
    """

    depth: float
    weight_ms: float
    phase: int
    at_ms: float
    q_ind: Array
    motion: Motion | None


class Trajectory:
    """Cubic splines over depth through poses from rest to full depth, and through each step of an extra (rows of
    `q_ind`, layout: coordinates.py)."""

    def __init__(self, depths: Sequence[float], poses: Sequence[Array]) -> None:
        self.first_pose = poses[0]
        self.steps = ceil(depths[-1]) - 1
        ways_there = [difference(poses[0], pose) for pose in poses]
        self.splines = [
            CubicSpline(*zip(*rows, strict=True), bc_type="natural")
            for begins in range(self.steps + 1)
            for rows in [[row for row in zip(depths, ways_there, strict=True) if begins <= row[0] <= begins + 1]]
        ]

    def at(self, depth: float) -> Array:
        """Where the body is at a depth, beyond 1 in an extra (axis: as in coordinates.py; m, quaternion, rad)."""
        return self._along([depth])[0]

    def _along(self, depths: Sequence[float]) -> list[Array]:
        """The poses at depths that lie on one spline."""
        spline = self.splines[max(ceil(max(depths)) - 1, 0)]
        return [integrate(self.first_pose, way) for way in spline(depths)]

    def repetition(self, tempo: Tempo, rests: End, pulses_ms: int = 0, extra_ms: int = 0) -> list[Sample]:
        """Instants spread over one repetition, pulses held at full depth, then the extra; pauses last.

        Between its ends the body swings as a pendulum does: a cosine.
        """
        there_ms, still_ms, back_ms, rest_ms = tempo.in_time(rests)
        still_ms += pulses_ms
        full_ms, back_at_ms, end_ms = accumulate((there_ms + still_ms, extra_ms, back_ms + rest_ms))
        pauses = [
            (phase, depth, weight_ms, at_ms)
            for phase, depth, weight_ms, at_ms in ((1, 1.0, still_ms, full_ms), (3, 0.0, rest_ms, end_ms))
            if weight_ms
        ]
        moving = (POSES - len(pauses)) // 2
        samples = self._swing((0.0, 1.0), 0, there_ms, moving, 0.0)
        samples += self._extra(extra_ms, full_ms)
        samples += self._swing((1.0, 0.0), 2, back_ms, moving, back_at_ms)
        return samples + [
            Sample(depth=depth, weight_ms=weight_ms, phase=phase, at_ms=at_ms, q_ind=self.at(depth), motion=None)
            for phase, depth, weight_ms, at_ms in pauses
        ]

    def _extra(self, extra_ms: int, begins_ms: float) -> list[Sample]:
        """The steps there and the same way back, all equally long."""
        ends = [float(place + 1) for place in range(self.steps + 1)]
        strokes = [*pairwise(ends), *pairwise(ends[::-1])]
        each_ms = extra_ms / max(len(strokes), 1)
        return [
            moment
            for place, stroke in enumerate(strokes)
            for moment in self._swing(stroke, 1, each_ms, STEP_POSES, begins_ms + place * each_ms)
        ]

    def _swing(
        self, stroke: tuple[float, float], phase: int, lasting_ms: float, count: int, begins_ms: float
    ) -> list[Sample]:
        start, end = stroke
        shares = [place / (count - 1) for place in range(count)]
        step = STEP_S * 1000 / lasting_ms
        near = [_cosine(start, end, share + off) for share in shares for off in (-step, 0.0, step)]
        poses = self._along(near)
        return [
            Sample(
                depth=near[3 * place + 1],
                weight_ms=lasting_ms * (0.5 if place in (0, count - 1) else 1.0) / (count - 1),
                phase=phase,
                at_ms=begins_ms + share * lasting_ms,
                q_ind=poses[3 * place + 1],
                motion=finite_difference(poses[3 * place], poses[3 * place + 1], poses[3 * place + 2], STEP_S),
            )
            for place, share in enumerate(shares)
        ]


def _cosine(start: float, end: float, share: float) -> float:
    return start + (end - start) * (1 - cos(pi * share)) / 2
