"""Finding a pose that meets its tasks: damped least squares, joints kept inside their range.

A pose that cannot be met as described is returned with how far off each task is; nothing is hidden.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from everyrung.body.configuration import Configuration, integrate, upright
from everyrung.body.coordinates import ROOT, ROOT_FREEDOMS, Array
from everyrung.body.ik_tasks import Task
from everyrung.body.model import BodyModel

MOST_STEPS = 120  # chosen, because a pose that has not settled by then is contradictory
MOST_DAMPING = 1e8  # chosen, because a step so short changes nothing
SETTLED = 1e-9  # change of the cost that no longer shows
STILL = 1e-7  # the same after the last step; chosen, because all steps together then move no point by a millimetre
EASE = 0.03  # chosen, because the pull towards the start must not move a task by a visible amount
FIRM = 0.5  # chosen, because what weighs less is a wish that gives way to everything else
SHOWN_MM, SHOWN_DEG = 5.0, 2.0  # chosen, because less is within the error of a landmark on the skin


@dataclass(frozen=True, slots=True, kw_only=True)
class Misfit:
    """How far off one task is."""

    task: str
    amount: float
    unit: str

    @property
    def shown(self) -> bool:
        """Whether a coach should see it."""
        return self.amount > (SHOWN_MM if self.unit == "mm" else SHOWN_DEG)

    def __str__(self) -> str:
        return f"{self.task}: off by {self.amount:.0f} {self.unit}"


@dataclass(frozen=True, slots=True, kw_only=True)
class PoseSolution:
    """A solved pose: coordinates (layout: coordinates.py), the misfits that matter, and whether the search settled."""

    q_ind: Array
    misfits: tuple[Misfit, ...]
    settled: bool
    steps: int


@dataclass(slots=True, kw_only=True)
class _Search:
    """One search as it goes; mutable, thrown away at its end."""

    configuration: Configuration
    tasks: Sequence[Task]
    begun: Array
    ease: float
    damping: float = 1e-3

    def at(self, q_ind: Array) -> tuple[Array, Array]:
        """All weighted residuals at a place, the pull towards the start below them, and their Jacobian."""
        self.configuration.set_q(q_ind)
        pairs = [(task.weight, *task.rows(self.configuration)) for task in self.tasks]
        freedoms = self.configuration.coupling_jacobian.shape[1]
        pull = np.zeros((freedoms - ROOT_FREEDOMS, freedoms))
        pull[:, ROOT_FREEDOMS:] = self.ease * np.eye(freedoms - ROOT_FREEDOMS)
        residuals = [weight * rows for weight, rows, _ in pairs]
        residuals.append(self.ease * (q_ind[ROOT:] - self.begun[ROOT:]))
        return np.concatenate(residuals), np.vstack([weight * slopes for weight, _, slopes in pairs] + [pull])


def solve_pose(
    body: BodyModel,
    tasks: Sequence[Task],
    start: Array | None = None,
    ease: float = EASE,
    toward: Array | None = None,
) -> PoseSolution:
    """The pose nearest `toward` (without one: `start`) that meets the tasks as well as can be, sought from `start`.

    Without a start the search begins standing upright.
    """
    configuration = Configuration(body, start)
    q_ind = configuration.q_ind.copy()
    search = _Search(configuration=configuration, tasks=tasks, begun=q_ind if toward is None else toward, ease=ease)
    here = search.at(q_ind)
    fall, steps = np.inf, 0
    while steps < MOST_STEPS and fall > SETTLED:
        steps += 1
        before = float(here[0] @ here[0])
        q_ind, here = _step(search, q_ind, *here)
        fall = (before - float(here[0] @ here[0])) / max(1.0, before)
    configuration.set_q(q_ind)
    asked = [task for task in tasks if task.weight >= FIRM]
    misfits = (
        Misfit(task=task.words, amount=off, unit=unit) for task in asked for off, unit in [task.misfit(configuration)]
    )
    return PoseSolution(
        q_ind=q_ind, misfits=tuple(each for each in misfits if each.shown), settled=bool(fall <= STILL), steps=steps
    )


def _step(search: _Search, q_ind: Array, residual: Array, jacobian: Array) -> tuple[Array, tuple[Array, Array]]:
    """One step that lowers the cost, with what is found there; the place itself when none does."""
    body, cost = search.configuration.body, residual @ residual
    normal, slope = jacobian.T @ jacobian, jacobian.T @ residual
    free = _free(body, q_ind, -slope)
    while search.damping < MOST_DAMPING:
        change = np.zeros_like(slope)
        inner = normal[np.ix_(free, free)] + search.damping * np.eye(len(free))
        change[free] = -np.linalg.solve(inner, slope[free])
        tried = _inside(body, integrate(q_ind, change))
        found = search.at(tried)
        if found[0] @ found[0] < cost:
            search.damping = max(search.damping / 5, 1e-9)
            return tried, found
        search.damping *= 5
    search.damping = 1e-3
    return q_ind, (residual, jacobian)


def _free(body: BodyModel, q_ind: Array, downhill: Array) -> NDArray[np.int64]:
    """The freedoms that may move: a joint at its stop does not push against it."""
    angles, pull = q_ind[ROOT:], downhill[ROOT_FREEDOMS:]
    stuck = ((angles <= body.limits.low) & (pull < 0)) | ((angles >= body.limits.high) & (pull > 0))
    places: NDArray[np.int64] = np.flatnonzero(np.concatenate([np.ones(ROOT_FREEDOMS, dtype=bool), ~stuck]))
    return places


def _inside(body: BodyModel, q_ind: Array) -> Array:
    q_ind[ROOT:] = np.clip(q_ind[ROOT:], body.limits.low, body.limits.high)
    return q_ind


def standing(body: BodyModel) -> Array:
    """The start of most searches: upright, with both soles on the floor (z = 0)."""
    configuration = Configuration(body)
    q_ind = upright()
    q_ind[2] -= min(configuration.point(f"heel_{side}")[2] for side in ("left", "right"))
    return q_ind
