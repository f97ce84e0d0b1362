"""Who carries what: muscles, torque generators and supports in one quadratic programme.

Least effort: min 1/2 sum w x^2 such that everything active, the supports and the slacks add up to what is needed;
activations between 0 and 1, supports only push. Slacks are dear, so they show only what nobody can carry.

A joint near the end of its range is leant on as far as needed: its tissue takes any part, 0 to 1, of its moment at that
angle. Over the few degrees by which a pose is known that moment goes from nothing to all, so taking the whole of it
would have muscles strain against a stop.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy import sparse  # type: ignore[import-untyped,unused-ignore]

from everyrung.body.bodies import pose_factors
from everyrung.body.configuration import Configuration
from everyrung.body.contacts import Contact, reach
from everyrung.body.coordinates import COORDINATES, ROOT_FREEDOMS, Array, Integers
from everyrung.body.model import BodyModel

if TYPE_CHECKING:
    from everyrung.body.least_effort import Columns

# They decide how muscles that cross a hip share its work. Chosen once for all moves against published ranks by the rule
# of docs/accuracy/two_choices.py, which prints how the other values fare; a test holds them to it.
FRICTION_WEIGHT = 10.0  # of a ray on the edge of the friction cone, by body weights squared
FORCE_POWER = 0.5  # a muscle's weight is (force / mean force) ** this; at 0 each activation counts alike

NORMAL_WEIGHT = 0.01  # chosen, because it only has to spread a load over the points of a support
TISSUE_WEIGHT = 0.01  # chosen, because leaning on the end of a joint's range costs next to no effort
# Of a generator that has all of its joint's strength, less of one that has a part: a joint's muscles at full effort
# weigh so much together (derived: 3 to 47, the middle one of 14 motions 10), and arms are to count as legs do.
GENERATOR_WEIGHT = 10.0
LEAST_GENERATOR_NM = 0.5  # chosen, because less is nobody's strength
RESERVE_WEIGHT = 1.0  # by (N m) squared; chosen, because working muscles then leave some hundredths of a N m
ROOT_WEIGHT = 10.0  # by N or N m squared; chosen, because 5 to 30 settle and a nearly rigid one does not
DEAR = np.repeat([ROOT_WEIGHT, RESERVE_WEIGHT], [ROOT_FREEDOMS, len(COORDINATES)])
SHARE_WEIGHT = 1e4  # by body weights squared; chosen, because a declared share is then met within about 1 %


class NoSolution(Exception):
    """The search gave up: neither an answer nor a proof that there is none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """min 1/2 sum weight x^2 + 1/2 sum dear s^2 such that columns x + s = target and least <= x <= most (inf: no end).

    The numbers x (axis of `weight`, `least` and `most`): muscles, `tissues` at the ends of joints, generators, and from
    `first_ray` on rays; the slacks s (axis of `dear` and `target`): root, reserves, shares. `pull`: what each muscle
    gives at full activation (axes: muscle, freedom; N m).
    """

    columns: "Columns"
    pull: Array
    weight: Array
    least: Array
    most: Array
    dear: Array
    target: Array
    tissues: int
    first_ray: int

    def rows(self) -> Array:
        """The columns as one array (axes: slack, number), N m or N for each whole activation or weight."""
        begins, row, value = self.columns
        matrix: Array = sparse.csc_array((value, row, begins), shape=(len(self.target), len(self.weight))).toarray()
        return matrix

    def cost(self, answer: "Answer") -> float:
        """What is made least, in squares of activations: that of an answer's numbers and of its slacks."""
        return float(0.5 * self.weight @ answer.x**2 + 0.5 * self.dear @ answer.slacks**2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """Of a problem: its numbers x (axis: number; activations, or body weights of rays), and the slacks (axis: slack; N,
    N m), what nobody carries.
    """

    x: Array
    slacks: Array


@dataclass(frozen=True, slots=True, kw_only=True)
class FrictionCones:
    """All rays of all contacts: direction (axes: ray, xyz) and full-Jacobian column of each (axes: model velocity,
    ray), and which contact it belongs to (axis: ray).
    """

    directions: Array
    columns: Array
    owner: Integers
    weights: Array


def friction_cones(configuration: Configuration, contacts: Sequence[Contact]) -> FrictionCones:
    """The rays of every point; columns are generalised forces (model's own velocities) for one newton along a ray.
    Raises Invalid for an unknown landmark.
    """
    directions, columns, owner, weights = [np.zeros((0, 3))], [np.zeros((configuration.body.mj_model.nv, 0))], [], []
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
        weights=np.array(weights, dtype=float),
    )


def build_problem(
    configuration: Configuration, contacts: Sequence[Contact], cones: FrictionCones, target: Array, weight_n: float
) -> Problem:
    """The programme of a pose. `target`, N and N m (axis: freedom), is left to carry once stretched muscles have done
    their part; rays are measured in `weight_n`, the weight of body and load.

    A joint without muscles has a torque generator, and each other motion one for what its muscles cannot give in this
    pose (the upstream model has no deep hip rotators, which at a bent hip are abductors).
    """
    from everyrung.body.least_effort import gather, generators  # late, for numba takes a third of a second

    strengths, muscles = configuration.body.strengths, max_muscle_torques(configuration).T
    motions = strengths.at(configuration.q_ind), strengths.freedom, strengths.sign, strengths.by_generator
    torque_nm, tissue_nm = generators(muscles, *motions, LEAST_GENERATOR_NM), configuration.tissue_load()
    near, which = np.flatnonzero(tissue_nm), np.flatnonzero(torque_nm)
    single = np.concatenate([near, strengths.freedom[which]]), np.concatenate([tissue_nm[near], torque_nm[which]])
    push = weight_n * configuration.coupling_jacobian.T @ cones.columns
    with_share = [row for row, one in enumerate(contacts) if one.share is not None]
    rays = np.vstack([push, _share_rows(contacts, cones, with_share)])
    share = torque_nm[which] / motions[0][which] * strengths.sign[which]
    cheap = np.concatenate([np.full(len(near), TISSUE_WEIGHT), GENERATOR_WEIGHT * share])
    first_ray = len(muscles) + len(cheap)
    return Problem(
        columns=gather(muscles, *single, np.ascontiguousarray(rays.T)),
        pull=muscles,
        weight=np.concatenate([muscle_weights(configuration.body), cheap, cones.weights]),
        least=np.zeros(first_ray + len(cones.owner)),
        most=np.repeat([1.0, np.inf], [first_ray, len(cones.owner)]),
        dear=np.concatenate([DEAR, np.full(len(with_share), SHARE_WEIGHT)]),
        target=np.concatenate([target, [contacts[row].share or 0.0 for row in with_share]]),
        tissues=len(near),
        first_ray=first_ray,
    )


def tissue_ends(configuration: Configuration) -> Array:
    """Generalised forces, N m (axes: freedom, tissue), of the tissues at the ends of joints that are near one."""
    ends = configuration.tissue_load()
    near = np.flatnonzero(ends)
    columns = np.zeros((len(ends), len(near)))
    columns[near, np.arange(len(near))] = ends[near]
    return columns


def muscle_weights(body: BodyModel) -> Array:
    """The factor of each muscle in the least effort (axis: muscle)."""
    weights: Array = (body.muscles.force_n / body.muscles.force_n.mean()) ** FORCE_POWER
    return weights


def max_muscle_torques(configuration: Configuration) -> Array:
    """Generalised forces, N and N m (axes: freedom, muscle), of each muscle at full activation, as strong as the
    published curves at this angle.
    """
    arms, force_n = configuration.moment_arms(), configuration.body.muscles.active_force(configuration.muscle_lengths())
    pull: Array = arms * (force_n * pose_factors(configuration.body, arms, force_n, configuration.q_ind))
    return pull


def _share_rows(contacts: Sequence[Contact], cones: FrictionCones, with_share: list[int]) -> Array:
    """What each ray adds to the normal force of the contacts with a declared share."""
    rows = np.zeros((len(with_share), len(cones.owner)))
    for at, row in enumerate(with_share):
        mine = cones.owner == row
        rows[at, mine] = cones.directions[mine] @ np.array(contacts[row].normal)
    return rows


def solve(problem: Problem) -> Answer:
    """The least effort. Raises NoSolution when the search does not converge."""
    from everyrung.body.least_effort import least_effort  # late, for numba takes a third of a second

    x, slacks, has_converged = least_effort(
        problem.columns, problem.weight, problem.least, problem.most, problem.dear, problem.target
    )
    if not has_converged:
        raise NoSolution("muscles and supports of this pose: no least effort was found")
    return Answer(x=x, slacks=slacks)
