"""Who carries what: muscles, torque generators and supports in one quadratic programme.

Least effort: min 1/2 sum w x^2 such that everything active, the supports and the slacks add up to what is needed;
activations between 0 and 1, supports only push. Slacks are dear, so they show only what nobody can carry.

A joint near the end of its range is leant on as far as needed: its tissue takes any part, 0 to 1, of its moment at that
angle. Over the few degrees by which a pose is known that moment goes from nothing to all, so taking the whole of it
would have muscles strain against a stop.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import piqp  # type: ignore[import-not-found,import-untyped,unused-ignore]
from numpy.typing import NDArray
from scipy import sparse  # type: ignore[import-untyped,unused-ignore]

from everyrung.body.bodies import pose_factors
from everyrung.body.configuration import Configuration
from everyrung.body.contacts import Contact, reach
from everyrung.body.coordinates import COORDINATES, ROOT_FREEDOMS, Array

# They decide how muscles that cross a hip share its work. Chosen once for all moves against published ranks by the rule
# of docs/accuracy/two_choices.py, which prints how the other values fare; a test holds them to it.
FRICTION_WEIGHT = 100.0  # of a ray on the edge of the friction cone, by body weights squared
FORCE_POWER = 0.0  # a muscle's weight is (force / mean force) ** this; at 0 each activation counts alike

NORMAL_WEIGHT = 0.01  # chosen, because it only has to spread a load over the points of a support
TISSUE_WEIGHT = 0.01  # chosen, because leaning on the end of a joint's range costs next to no effort
GENERATOR_WEIGHT = 1.0  # chosen, because a generator then counts like one muscle of mean force
LEAST_GENERATOR_NM = 0.5  # chosen, because less is nobody's strength
RESERVE_WEIGHT = 1.0  # by (N m) squared; chosen, because working muscles then leave some hundredths of a N m
ROOT_WEIGHT = 10.0  # by N or N m squared; chosen, because 5 to 30 settle and a nearly rigid one does not
SHARE_WEIGHT = 1e4  # by body weights squared; chosen, because a declared share is then met within about 1 %


class Unsolved(Exception):
    """The solver gave up: neither an answer nor a proof that there is none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """min 1/2 sum weight x^2 such that rows x = wanted and 0 <= x <= most for the first `bounded` (inf: no end)."""

    weight: Array
    rows: Array
    wanted: Array
    most: Array
    bounded: int

    def cost(self, x: Array) -> float:
        return float(0.5 * self.weight @ x**2)


@dataclass(frozen=True, slots=True, kw_only=True)
class FrictionCones:
    """All rays of all contacts: direction and full-Jacobian column of each, and which contact it belongs to."""

    directions: Array
    columns: Array
    owner: NDArray[np.int64]
    weights: Array


def friction_cones(configuration: Configuration, contacts: Sequence[Contact]) -> FrictionCones:
    """The rays of every point; columns are generalised forces (model's own velocities) for one newton along a ray."""
    directions, columns, owner, weights = [np.zeros((0, 3))], [np.zeros((configuration.body.compiled.nv, 0))], [], []
    for row, one in enumerate(contacts):
        each = one.rays()
        for point in one.points:
            directions.append(each)
            columns.append(reach(configuration, point).T @ each.T)
            owner += [row] * len(each)
            weights += [NORMAL_WEIGHT] + [FRICTION_WEIGHT] * (len(each) - 1)
    return FrictionCones(
        directions=np.vstack(directions),
        columns=np.hstack(columns),
        owner=np.array(owner, dtype=np.int64),
        weights=np.array(weights),
    )


def build_problem(
    configuration: Configuration, contacts: Sequence[Contact], found: FrictionCones, wanted: Array, weight_n: float
) -> Problem:
    """The programme of a pose. `wanted` is left to carry once stretched muscles have done their part; rays are measured
    in `weight_n`, the weight of body and load. Its numbers: muscles, tissues, generators, rays; root, reserves, shares.
    """
    muscles, weights = _muscles(configuration)
    tissues, generators = tissue_ends(configuration), _generators(configuration, muscles)
    push = weight_n * configuration.coupling_jacobian.T @ found.columns
    declared = [row for row, one in enumerate(contacts) if one.share is not None]
    counts = [tissues.shape[1], generators.shape[1]]
    active = len(weights) + sum(counts)
    slacks = [ROOT_FREEDOMS, len(COORDINATES), len(declared)]
    top = np.hstack([muscles, tissues, generators, push])
    bottom = np.hstack([np.zeros((len(declared), active)), _share_rows(contacts, found, declared)])
    dear = np.repeat([ROOT_WEIGHT, RESERVE_WEIGHT, SHARE_WEIGHT], slacks)
    cheap = np.repeat([TISSUE_WEIGHT, GENERATOR_WEIGHT], counts)
    return Problem(
        weight=np.concatenate([weights, cheap, found.weights, dear]),
        rows=np.hstack([np.vstack([top, bottom]), np.eye(sum(slacks))]),
        wanted=np.concatenate([wanted, [contacts[row].share or 0.0 for row in declared]]),
        most=np.concatenate([np.ones(active), np.full(len(found.owner), np.inf)]),
        bounded=active + len(found.owner),
    )


def tissue_ends(configuration: Configuration) -> Array:
    """Generalised forces of the tissues at the ends of joints that are near one: one column each."""
    ends = configuration.body.limits.moments(configuration.q_ind)
    columns: Array = np.diag(ends)[:, ends != 0.0]
    return columns


def _muscles(configuration: Configuration) -> tuple[Array, Array]:
    """Generalised forces of each muscle at full activation, and its weight."""
    muscles = configuration.body.muscles
    weights = (muscles.force_n / muscles.force_n.mean()) ** FORCE_POWER
    return max_muscle_torques(configuration), weights


def max_muscle_torques(configuration: Configuration) -> Array:
    """Generalised forces (N m) of each muscle at full activation, as strong as the published curves at this angle."""
    arms = configuration.moment_arms()
    turning = arms * configuration.body.muscles.active_force(configuration.data.ten_length)
    pull: Array = turning * pose_factors(configuration.body, turning, configuration.q_ind)
    return pull


def _generators(configuration: Configuration, pull: Array) -> Array:
    """Generalised forces of each torque generator at full effort: one column each.

    Those of joints without muscles, and for each other motion what its muscles cannot give in this pose (the upstream
    model has no deep hip rotators, which at a bent hip are abductors).
    """
    strengths = configuration.body.strengths
    full = strengths.at(configuration.q_ind)
    given = np.maximum(strengths.sign[:, None] * pull[strengths.freedom], 0.0).sum(axis=1)
    left = np.where(strengths.generated, full, np.maximum(full - given, 0.0))
    which = np.flatnonzero(left > LEAST_GENERATOR_NM)
    torques = np.zeros((configuration.coupling_jacobian.shape[1], len(which)))
    torques[strengths.freedom[which], np.arange(len(which))] = (strengths.sign * left)[which]
    return torques


def _share_rows(contacts: Sequence[Contact], found: FrictionCones, declared: list[int]) -> Array:
    """What each ray adds to the normal force of the contacts with a declared share."""
    rows = np.zeros((len(declared), len(found.owner)))
    for at, row in enumerate(declared):
        mine = found.owner == row
        rows[at, mine] = found.directions[mine] @ np.array(contacts[row].normal)
    return rows


def solve(asked: Problem) -> Array:
    """The least effort. Raises Unsolved when the solver does not settle."""
    size = len(asked.weight)
    low, high = np.full(size, -np.inf), np.full(size, np.inf)
    low[: asked.bounded], high[: asked.bounded] = 0.0, asked.most
    solver = piqp.SparseSolver()
    solver.setup(
        sparse.diags_array(asked.weight, format="csc"),
        np.zeros(size),
        sparse.csc_matrix(asked.rows),
        asked.wanted,
        x_l=low,
        x_u=high,
    )
    status = solver.solve()
    if status != piqp.PIQP_SOLVED:
        raise Unsolved(f"muscles and supports of this pose: {status}")
    return np.array(solver.result.x)
