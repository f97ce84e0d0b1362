"""Finding a pose that meets its tasks: damped least squares, joints kept inside their range.

A pose that cannot be met as described is returned with how far off each task is; nothing is hidden.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from everyrung.body.configuration import Configuration, upright
from everyrung.body.coordinates import Array, Integers
from everyrung.body.ik_tasks import Rows, Task
from everyrung.body.model import BodyModel

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
    def worth_showing(self) -> bool:
        """Whether a coach should see it."""
        return self.amount > (SHOWN_MM if self.unit == "mm" else SHOWN_DEG)

    def __str__(self) -> str:
        return f"{self.task}: off by {self.amount:.0f} {self.unit}"


@dataclass(frozen=True, slots=True, kw_only=True)
class PoseSolution:
    """A solved pose: its coordinates (one axis, laid out as in coordinates.py: m, quaternion, rad), whether the search
    has converged, in how many steps, and what is left of `tasks`: `off` by number, each of the task in `task_of`, with
    its `weight` (axis: number of a task; METRE, unit vector or rad).
    """

    q_ind: Array
    has_converged: bool
    steps: int
    tasks: Sequence[Task]
    off: Array
    weight: Array
    task_of: Integers

    @property
    def misfits(self) -> tuple[Misfit, ...]:
        """Those that matter, in the order of the tasks."""
        every = (
            Misfit(task=task.words, amount=amount, unit=unit)
            for place, task in enumerate(self.tasks)
            if task.weight >= FIRM
            for amount, unit in [task.misfit(self.off[self.task_of == place])]
        )
        return tuple(each for each in every if each.worth_showing)

    @property
    def firmly_off(self) -> Array:
        """What is left of all but wishes, each number times its weight (axis: number of such a task)."""
        return (self.weight * self.off)[self.weight >= FIRM]


def solve_pose(
    body: BodyModel,
    tasks: Sequence[Task],
    start: Array | None = None,
    ease: float = EASE,
    toward: Array | None = None,
) -> PoseSolution:
    """The pose nearest `toward` (without one: `start`) that meets the tasks as well as can be, sought from `start`
    (axis of both: as in coordinates.py; m, quaternion, rad).

    Without a start the search begins standing upright. `ease` weighs a rad away from `toward` against the tasks'
    numbers. Raises KeyError or ValueError for a point or an angle that no body has.
    """
    from everyrung.body.pose_search import search, weights  # late, for numba takes a third of a second

    guess = upright() if start is None else start
    rows = Rows(body)
    for task in tasks:
        rows.add(task)
    arrays = rows.arrays()
    q_ind, off, fall, steps = search(body.tree, arrays, guess, guess if toward is None else toward, ease)
    return PoseSolution(
        q_ind=q_ind,
        has_converged=bool(fall <= STILL),
        steps=steps,
        tasks=tasks,
        off=off,
        weight=weights(arrays),
        task_of=rows.task_of(),
    )


def standing(body: BodyModel) -> Array:
    """The start of most searches: upright, with both soles on the floor, z = 0 (axis: as in coordinates.py; m,
    quaternion, rad).
    """
    configuration = Configuration(body)
    q_ind = upright()
    q_ind[2] -= min(configuration.point(f"heel_{side}")[2] for side in ("left", "right"))
    return q_ind
