"""How far a body is from tipping: its centre of mass, at rest or moving, against the edge of its support.

What a pose asks of a body: weight, load and movement shared among muscles and supports, and what is short.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, inf

import numpy as np

from everyrung.body.antagonists import co_contracted
from everyrung.body.configuration import Configuration
from everyrung.body.contacts import Contact, HeldLoad, Pull, centre_with
from everyrung.body.coordinates import COORDINATES, ROOT_FREEDOMS, Array
from everyrung.body.inverse_dynamics import GRAVITY, Motion, inverse_dynamics
from everyrung.body.model import BodyModel
from everyrung.body.static_optimization import (
    Answer,
    FrictionCones,
    Problem,
    build_problem,
    friction_cones,
    solve,
    tissue_ends,
)
from everyrung.terms.demand import Balance, Demand, Effort, JointMoment, Reaction, ShareMet, Shortfall, TrunkMoment

BEARING = 0.7  # chosen, because what pushes up at more than about 45 degrees bears weight


def balance(
    configuration: Configuration, contacts: Sequence[Contact], loads: Sequence[HeldLoad], velocity: Array
) -> Balance | None:
    """The margins, m, of a pose whose independent coordinates move at `velocity` (axis: freedom; m/s, rad/s); None when
    nothing bears from below.

    The extrapolated centre of mass is x + v / sqrt(g / l), l its height above the support: Hof, Gazendam and Sinke 2005
    (hof2005), from memory.
    """
    bearing = [configuration.point(point) for one in contacts if one.normal[2] > BEARING for point in one.points]
    if not bearing:
        return None
    centre, slope = centre_with(configuration, loads)
    moves = slope @ velocity
    edge = convex_hull(np.array(bearing)[:, :2])
    height = max(centre[2] - min(point[2] for point in bearing), 0.0)
    ahead = centre[:2] + moves[:2] * np.sqrt(height / GRAVITY)
    sideways = min(signed_distance(ahead, edge), 0.0) or min(lateral_margin(ahead, edge, sign) for sign in (-1.0, 1.0))
    return Balance(
        still_m=signed_distance(centre[:2], edge), moving_m=signed_distance(ahead, edge), sideways_m=sideways
    )


def lateral_margin(point: Array, corners: Array, sign: float) -> float:
    """How far (m) from a point (axis: x, y) inside a polygon (axes: corner; x, y) its edge is to the left (sign 1) or
    right (-1) of a standing body.

    >>> square = np.array([(0, 0), (1, 0), (1, 1), (0, 1)])
    >>> lateral_margin(np.array([0.25, 0.5]), square, 1.0), lateral_margin(np.array([0.25, 0.5]), square, -1.0)
    (0.75, 0.25)
    """
    ends, farthest = corners.tolist(), 0.0
    x, y = float(point[0]), float(point[1])
    for start, end in zip(ends, ends[1:] + ends[:1], strict=True):
        low, high = sorted((start[1], end[1]))
        if low <= y <= high and high > low:
            share = (y - start[1]) / (end[1] - start[1])
            farthest = max(farthest, sign * (start[0] + share * (end[0] - start[0]) - x))
    return farthest


def convex_hull(points: Array) -> Array:
    """The corners, anticlockwise (axes: corner; x, y), of the smallest convex polygon around points (axes: point; x,
    y).

    >>> convex_hull(np.array([(0, 0), (1, 0), (0.5, 0.5), (1, 1), (0, 1)])).tolist()
    [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]]
    """
    sequence = sorted({(float(x), float(y)) for x, y in points})
    if len(sequence) < 3:
        return np.array(sequence)
    lower, upper = _chain(sequence), _chain(sequence[::-1])
    return np.array(lower[:-1] + upper[:-1])


def _chain(sequence: list[tuple[float, float]]) -> list[tuple[float, float]]:
    chain: list[tuple[float, float]] = []
    for point in sequence:
        while len(chain) > 1 and _turn(chain[-2], chain[-1], point) <= 0:
            chain.pop()
        chain.append(point)
    return chain


def _turn(start: tuple[float, float], corner: tuple[float, float], end: tuple[float, float]) -> float:
    """Above zero when the way from start over corner to end turns left."""
    return (corner[0] - start[0]) * (end[1] - start[1]) - (corner[1] - start[1]) * (end[0] - start[0])


def signed_distance(point: Array, corners: Array) -> float:
    """How far (m) a point lies inside a polygon's edge; below zero, how far outside. A line has no inside.

    `point`: axis x, y; `corners`: axes corner; x, y, anticlockwise, as `convex_hull` gives them.

    >>> square = np.array([(0, 0), (1, 0), (1, 1), (0, 1)])
    >>> signed_distance(np.array([0.5, 0.25]), square), signed_distance(np.array([2.0, 0.5]), square)
    (0.25, -1.0)
    """
    x, y = float(point[0]), float(point[1])
    ends = corners.tolist()
    distance, inside = inf, len(ends) > 2
    for (start_x, start_y), (end_x, end_y) in zip(ends, ends[1:] + ends[:1], strict=True):
        along_x, along_y, off_x, off_y = end_x - start_x, end_y - start_y, x - start_x, y - start_y
        square = max(along_x**2 + along_y**2, 1e-18)  # one lone corner: no division by zero
        way = min(max((off_x * along_x + off_y * along_y) / square, 0.0), 1.0)
        distance = min(distance, hypot(off_x - way * along_x, off_y - way * along_y))
        inside = inside and along_x * off_y - along_y * off_x > 0
    return distance if inside else -distance


LEAST_NM = 1e-6  # chosen, because less is rounding, and would turn a joint this way here and that way there
MOST_RESERVE_NM = 5.0  # chosen, because less is within the error of published strengths
MOST_RESIDUAL = 1.0  # N or N m; chosen, because a held pose leaves some tenths
MOST_SHARE_OFF = 0.05  # of the weight; chosen, because less is not felt
ROOT_NEEDS = ("a push sideways", "a push forwards or back", "a push up or down", *["a turning of the whole body"] * 3)


@dataclass(frozen=True, slots=True, kw_only=True)
class _LoadSharing:
    """One solved pose: what was needed (model's velocities), passive tissue, rays with their newtons, slacks."""

    full: Array
    passive: Array
    cones: FrictionCones
    newtons: Array
    problem: Problem
    answer: Answer
    slacks: Array
    weight_n: float

    def pushes(self, row: int) -> Array:
        """The force of one contact, N."""
        mine = self.cones.owner == row
        force: Array = self.newtons[mine] @ self.cones.directions[mine]
        return force


def demand(
    configuration: Configuration,
    contacts: Sequence[Contact],
    loads: Sequence[HeldLoad] = (),
    motion: Motion | None = None,
    pulls: Sequence[Pull] = (),
) -> Demand:
    """The demand of the pose `configuration` is in; `motion` adds what a movement of less than about 3 s needs.

    Raises Invalid for an unknown landmark, NoSolution when the solver does not converge.
    """
    sharing = _share_load(configuration, contacts, loads, inverse_dynamics(configuration, loads, motion, pulls))
    shares = tuple(_shares(contacts, sharing))
    still = np.zeros(configuration.coupling_jacobian.shape[1])
    parts = _parts(configuration, _net(configuration, sharing), sharing.passive)
    activations = co_contracted(sharing.problem, sharing.answer, parts)
    return Demand(
        moments=tuple(_moments(configuration, sharing)),
        efforts=tuple(_efforts(configuration.body, activations)),
        reactions=tuple(_reaction(one, sharing.pushes(row)) for row, one in enumerate(contacts)),
        shares=shares,
        trunk=_trunk(configuration.body, sharing.full - sharing.cones.columns @ sharing.newtons),
        balance=balance(configuration, contacts, loads, still if motion is None else motion.velocity),
        greatest_reserve_nm=float(np.abs(sharing.slacks[ROOT_FREEDOMS:]).max()),
        root_residual_n=float(np.linalg.norm(sharing.slacks[:3])),
        root_residual_nm=float(np.linalg.norm(sharing.slacks[3:ROOT_FREEDOMS])),
        shortfalls=(*_shortfalls(configuration.body, sharing.slacks), *_share_shortfalls(shares)),
    )


def effort_parts(
    configuration: Configuration, contacts: Sequence[Contact], loads: Sequence[HeldLoad], pulls: Sequence[Pull]
) -> Array:
    """The moment at each joint as a part of its strength (axis: coordinate), and behind these what nobody gives, in
    parts of what is a shortfall (axis: freedom). Here the ends of joints spare no effort: to lean on one is no comfort,
    and it would be sought. Raises Invalid and NoSolution as `demand` does.
    """
    sharing = _share_load(configuration, contacts, loads, inverse_dynamics(configuration, loads, None, pulls))
    net = _net(configuration, sharing)
    return np.concatenate([_parts(configuration, net, np.zeros(len(net))), sharing.slacks / MOST_RESERVE_NM])


def _parts(configuration: Configuration, net: Array, passive: Array) -> Array:
    """How much of its strength each joint uses for `net` less `passive`, N m (axis of both: freedom); below zero where
    that turns the coordinate down (axis: coordinate).
    """
    way, strength_nm = np.sign(net[ROOT_FREEDOMS:]), configuration.body.strengths.at(configuration.q_ind)
    up, down = configuration.body.strengths.entries
    active = np.maximum(way * (net - passive)[ROOT_FREEDOMS:], 0.0)
    parts: Array = way * active / np.append(strength_nm, np.inf)[np.where(way >= 0, up, down)]
    return parts


def _share_load(
    configuration: Configuration, contacts: Sequence[Contact], loads: Sequence[HeldLoad], full: Array
) -> _LoadSharing:
    tissues, stretch_load = tissue_ends(configuration), configuration.stretched_load()
    weight_n = (configuration.body.mass_kg + sum(load.mass_kg for load in loads)) * GRAVITY
    cones = friction_cones(configuration, contacts)
    target = full @ configuration.coupling_jacobian - stretch_load
    problem = build_problem(configuration, contacts, cones, target, weight_n)
    answer, muscles = solve(problem), len(configuration.body.muscles.names)
    return _LoadSharing(
        full=full,
        passive=stretch_load + tissues @ answer.x[muscles : muscles + tissues.shape[1]],
        cones=cones,
        newtons=weight_n * answer.x[problem.first_ray :],
        problem=problem,
        answer=answer,
        slacks=answer.slacks[: len(stretch_load)],
        weight_n=weight_n,
    )


def _net(configuration: Configuration, sharing: _LoadSharing) -> Array:
    """What all tissues together do, N and N m (axis: freedom)."""
    net: Array = (sharing.full - sharing.cones.columns @ sharing.newtons) @ configuration.coupling_jacobian
    net[np.abs(net) < LEAST_NM] = 0.0
    return net


def _moments(configuration: Configuration, sharing: _LoadSharing) -> list[JointMoment]:
    """One moment a joint axis, in the direction the tissues turn it."""
    strengths = configuration.body.strengths
    strength_nm = strengths.at(configuration.q_ind).tolist()
    net = _net(configuration, sharing)
    moments = []
    for (up, down), net_nm, passive_nm in zip(
        strengths.ways, net[ROOT_FREEDOMS:].tolist(), sharing.passive[ROOT_FREEDOMS:].tolist(), strict=True
    ):
        motion, entry = up if net_nm >= 0 else down
        moments.append(
            JointMoment(
                motion=motion,
                moment_nm=abs(net_nm),
                passive_nm=passive_nm if net_nm >= 0 else -passive_nm,
                strength_nm=None if entry is None else strength_nm[entry],
            )
        )
    return moments


def _efforts(body: BodyModel, activations: Array) -> list[Effort]:
    muscles = body.muscles
    force, work = np.bincount(muscles.group, muscles.force_n), np.bincount(muscles.group, muscles.force_n * activations)
    return [
        Effort(group=name, activation=activation)
        for name, activation in zip(muscles.group_names, (work / force).tolist(), strict=True)
    ]


def _reaction(one: Contact, force: Array) -> Reaction:
    (x, y, z), (u, v, w) = force.tolist(), one.normal
    normal = x * u + y * v + z * w
    across = hypot(x - normal * u, y - normal * v, z - normal * w)
    return Reaction(contact=one.name, normal_n=normal, friction_n=across, force_n=(x, y, z))


def _shares(contacts: Sequence[Contact], sharing: _LoadSharing) -> list[ShareMet]:
    return [
        ShareMet(
            contact=one.name, wanted=one.share, got=float(sharing.pushes(row) @ np.array(one.normal)) / sharing.weight_n
        )
        for row, one in enumerate(contacts)
        if one.share is not None
    ]


def _share_shortfalls(shares: Sequence[ShareMet]) -> list[Shortfall]:
    return [
        Shortfall(
            what=f"share of the weight on {one.contact}", amount=100 * abs(one.got - one.wanted), unit="% of the weight"
        )
        for one in shares
        if abs(one.got - one.wanted) > MOST_SHARE_OFF
    ]


def _trunk(body: BodyModel, net: Array) -> TrunkMoment:
    """The upstream model's own spine joints sit at the lowest lumbar vertebra; their moment, unlike a coordinate's, is
    that of this one joint. Bending forward is negative there.
    """
    back, right, left = (
        float(net[body.mj_model.joint(name).dofadr[0]]) for name in ("flex_extension", "lat_bending", "axial_rotation")
    )
    return TrunkMoment(extension_nm=back, bend_right_nm=right, turn_left_nm=left)


def _shortfalls(body: BodyModel, slacks: Array) -> list[Shortfall]:
    """Why the pose can't be held as described, if it can't."""
    shortfalls = [
        Shortfall(what=ROOT_NEEDS[at], amount=float(abs(slacks[at])), unit="N" if at < 3 else "N m")
        for at in range(ROOT_FREEDOMS)
        if abs(slacks[at]) > MOST_RESIDUAL
    ]
    for at in np.flatnonzero(np.abs(slacks[ROOT_FREEDOMS:]) > MOST_RESERVE_NM).tolist():
        slack_nm = float(slacks[ROOT_FREEDOMS + at])
        motion, entry = body.strengths.ways[at][0 if slack_nm > 0 else 1]
        what = (COORDINATES[at].name if entry is None else motion).replace("_", " ")
        shortfalls.append(Shortfall(what=what, amount=abs(slack_nm), unit="N m"))
    return shortfalls
