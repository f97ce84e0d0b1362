"""How far a body is from tipping: its centre of mass, at rest or moving, against the edge of its support.

What a pose asks of a body: weight, load and movement shared among muscles and supports, and what is short.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from everyrung.body.configuration import Configuration
from everyrung.body.contacts import Contact, HeldLoad, Pull, centre_with
from everyrung.body.coordinates import COORDINATES, ROOT_FREEDOMS, Array
from everyrung.body.inverse_dynamics import GRAVITY, Motion, inverse_dynamics
from everyrung.body.model import BodyModel
from everyrung.body.static_optimization import FrictionCones, build_problem, friction_cones, solve, tissue_ends
from everyrung.terms.demand import Balance, Demand, Effort, JointMoment, Reaction, ShareMet, Shortfall, TrunkMoment

BEARING = 0.7  # chosen, because what pushes up at more than about 45 degrees bears weight


def balance(
    configuration: Configuration, contacts: Sequence[Contact], held: Sequence[HeldLoad], velocity: Array
) -> Balance | None:
    """The margins of a pose whose independent coordinates move at `velocity`; None when nothing bears from below.

    The extrapolated centre of mass is x + v / sqrt(g / l), l its height above the support: Hof, Gazendam and Sinke
    2005, J Biomech 38:1, from memory.
    """
    bearing = [configuration.point(point) for one in contacts if one.normal[2] > BEARING for point in one.points]
    if not bearing:
        return None
    centre, slope = centre_with(configuration, held)
    moves = slope @ velocity
    edge = convex_hull(np.array(bearing)[:, :2])
    height = max(centre[2] - min(point[2] for point in bearing), 0.0)
    ahead = centre[:2] + moves[:2] * np.sqrt(height / GRAVITY)
    sideways = min(signed_distance(ahead, edge), 0.0) or min(lateral_margin(ahead, edge, sign) for sign in (-1.0, 1.0))
    return Balance(
        still_m=signed_distance(centre[:2], edge), moving_m=signed_distance(ahead, edge), sideways_m=sideways
    )


def lateral_margin(point: Array, corners: Array, sign: float) -> float:
    """How far (m) from a point inside a polygon its edge is to the left (sign 1) or right (-1) of a standing body."""
    ends, found = np.roll(corners, -1, axis=0), [0.0]
    for start, end in zip(corners, ends, strict=True):
        low, high = sorted((start[1], end[1]))
        if low <= point[1] <= high and high > low:
            share = (point[1] - start[1]) / (end[1] - start[1])
            found.append(sign * (start[0] + share * (end[0] - start[0]) - point[0]))
    return float(max(found))


def convex_hull(points: Array) -> Array:
    """The corners of the smallest convex polygon around points (rows: x, y), anticlockwise.

    >>> convex_hull(np.array([(0, 0), (1, 0), (0.5, 0.5), (1, 1), (0, 1)])).tolist()
    [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]]
    """
    ordered = sorted({(float(x), float(y)) for x, y in points})
    if len(ordered) < 3:
        return np.array(ordered)
    lower, upper = _chain(ordered), _chain(ordered[::-1])
    return np.array(lower[:-1] + upper[:-1])


def _chain(ordered: list[tuple[float, float]]) -> list[tuple[float, float]]:
    chain: list[tuple[float, float]] = []
    for point in ordered:
        while len(chain) > 1 and _turn(chain[-2], chain[-1], point) <= 0:
            chain.pop()
        chain.append(point)
    return chain


def _turn(start: tuple[float, float], corner: tuple[float, float], end: tuple[float, float]) -> float:
    """Above zero when the way from start over corner to end turns left."""
    return (corner[0] - start[0]) * (end[1] - start[1]) - (corner[1] - start[1]) * (end[0] - start[0])


def signed_distance(point: Array, corners: Array) -> float:
    """How far (m) a point lies inside a polygon's edge; below zero, how far outside. A line has no inside.

    `point`: x, y; `corners`: rows x, y, anticlockwise, as `convex_hull` gives them.

    >>> square = np.array([(0, 0), (1, 0), (1, 1), (0, 1)])
    >>> signed_distance(np.array([0.5, 0.25]), square), signed_distance(np.array([2.0, 0.5]), square)
    (0.25, -1.0)
    """
    ends = np.roll(corners, -1, axis=0)
    along = ends - corners
    lengths = np.maximum((along**2).sum(axis=1), 1e-18)  # one lone corner: no division by zero
    way = np.clip(((point - corners) * along).sum(axis=1) / lengths, 0.0, 1.0)
    distance = float(np.linalg.norm(corners + way[:, None] * along - point, axis=1).min())
    lefts = along[:, 0] * (point - corners)[:, 1] - along[:, 1] * (point - corners)[:, 0]
    return distance if len(corners) > 2 and (lefts > 0).all() else -distance


MOST_RESERVE_NM = 5.0  # chosen, because less is within the error of published strengths
MOST_RESIDUAL = 1.0  # N or N m; chosen, because a held pose leaves some tenths
MOST_SHARE_OFF = 0.05  # of the weight; chosen, because less is not felt
TOES = {1.0: "toe_extension", -1.0: "toe_flexion"}  # no row of tables/joint_strength.csv
ROOT_NEEDS = ("a push sideways", "a push forwards or back", "a push up or down", *["a turning of the whole body"] * 3)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Shared:
    """One solved pose: what was needed (model's velocities), passive tissue, rays with their newtons, slacks."""

    full: Array
    passive: Array
    found: FrictionCones
    newtons: Array
    activations: Array
    slacks: Array
    weight_n: float

    def pushes(self, row: int) -> Array:
        """The force of one contact, N."""
        mine = self.found.owner == row
        force: Array = self.newtons[mine] @ self.found.directions[mine]
        return force


def demand(
    configuration: Configuration,
    contacts: Sequence[Contact],
    held: Sequence[HeldLoad] = (),
    motion: Motion | None = None,
    pulls: Sequence[Pull] = (),
) -> Demand:
    """The demand of the pose `configuration` is in; `motion` adds what a movement of less than about 3 s needs.

    Raises Invalid for an unknown landmark, Unsolved when the solver does not settle.
    """
    shared = _shared(configuration, contacts, held, inverse_dynamics(configuration, held, motion, pulls))
    shares = tuple(_shares(contacts, shared))
    still = np.zeros(configuration.coupling_jacobian.shape[1])
    return Demand(
        moments=tuple(_moments(configuration, shared)),
        efforts=tuple(_efforts(configuration.body, shared.activations)),
        reactions=tuple(_reaction(one, shared.pushes(row)) for row, one in enumerate(contacts)),
        shares=shares,
        trunk=_trunk(configuration.body, shared.full - shared.found.columns @ shared.newtons),
        balance=balance(configuration, contacts, held, still if motion is None else motion.velocity),
        greatest_reserve_nm=float(np.abs(shared.slacks[ROOT_FREEDOMS:]).max()),
        root_residual_n=float(np.linalg.norm(shared.slacks[:3])),
        root_residual_nm=float(np.linalg.norm(shared.slacks[3:ROOT_FREEDOMS])),
        shortfalls=(*_shortfalls(configuration.body, shared.slacks), *_missed(shares)),
    )


def _shared(
    configuration: Configuration, contacts: Sequence[Contact], held: Sequence[HeldLoad], full: Array
) -> _Shared:
    tissues = tissue_ends(configuration)
    stretched = configuration.passive_load() - tissues.sum(axis=1)
    mass_kg = float(configuration.body.compiled.body_mass.sum()) + sum(load.mass_kg for load in held)
    found = friction_cones(configuration, contacts)
    asked = build_problem(
        configuration, contacts, found, full @ configuration.coupling_jacobian - stretched, mass_kg * GRAVITY
    )
    solution = solve(asked)
    active, muscles = asked.bounded - len(found.owner), len(configuration.body.muscles.names)
    return _Shared(
        full=full,
        passive=stretched + tissues @ solution[muscles : muscles + tissues.shape[1]],
        found=found,
        newtons=mass_kg * GRAVITY * solution[active : asked.bounded],
        activations=np.clip(solution[:muscles], 0.0, 1.0),
        slacks=solution[asked.bounded : asked.bounded + len(stretched)],
        weight_n=mass_kg * GRAVITY,
    )


def _moments(configuration: Configuration, shared: _Shared) -> list[JointMoment]:
    """One moment a joint axis, in the direction the tissues turn it."""
    strengths = configuration.body.strengths
    ways = zip(strengths.freedom, strengths.sign, strengths.motions, strengths.at(configuration.q_ind), strict=True)
    known = {(int(at), float(sign)): (motion, float(nm)) for at, sign, motion, nm in ways}
    net = (shared.full - shared.found.columns @ shared.newtons) @ configuration.coupling_jacobian
    found = []
    for at, one in enumerate(COORDINATES, ROOT_FREEDOMS):
        sign = 1.0 if net[at] >= 0 else -1.0
        toes = TOES[sign] + one.name.removeprefix("toe_extension")
        motion, strength = known.get((at, sign), (toes, None))
        passive = float(sign * shared.passive[at])
        found.append(
            JointMoment(motion=motion, moment_nm=float(abs(net[at])), passive_nm=passive, strength_nm=strength)
        )
    return found


def _efforts(body: BodyModel, activations: Array) -> list[Effort]:
    groups = np.array(body.muscles.groups)
    force = body.muscles.force_n
    parts = {name: groups == name for name in dict.fromkeys(body.muscles.groups)}
    return [
        Effort(group=name, activation=float(force[part] @ activations[part] / force[part].sum()))
        for name, part in parts.items()
    ]


def _reaction(one: Contact, force: Array) -> Reaction:
    normal = float(force @ np.array(one.normal))
    across = float(np.linalg.norm(force - normal * np.array(one.normal)))
    x, y, z = (float(value) for value in force)
    return Reaction(contact=one.name, normal_n=normal, friction_n=across, force_n=(x, y, z))


def _shares(contacts: Sequence[Contact], shared: _Shared) -> list[ShareMet]:
    return [
        ShareMet(
            contact=one.name, wanted=one.share, got=float(shared.pushes(row) @ np.array(one.normal)) / shared.weight_n
        )
        for row, one in enumerate(contacts)
        if one.share is not None
    ]


def _missed(shares: Sequence[ShareMet]) -> list[Shortfall]:
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
        float(net[body.compiled.joint(name).dofadr[0]]) for name in ("flex_extension", "lat_bending", "axial_rotation")
    )
    return TrunkMoment(extension_nm=back, bend_right_nm=right, turn_left_nm=left)


def _shortfalls(body: BodyModel, slacks: Array) -> list[Shortfall]:
    """Why the pose can't be held as described, if it can't."""
    strengths = body.strengths
    names = {
        (int(at), float(sign)): motion
        for at, sign, motion in zip(strengths.freedom, strengths.sign, strengths.motions, strict=True)
    }
    found = [
        Shortfall(what=ROOT_NEEDS[at], amount=float(abs(slacks[at])), unit="N" if at < 3 else "N m")
        for at in range(ROOT_FREEDOMS)
        if abs(slacks[at]) > MOST_RESIDUAL
    ]
    for at, one in enumerate(COORDINATES, ROOT_FREEDOMS):
        if abs(slacks[at]) > MOST_RESERVE_NM:
            motion = names.get((at, float(np.sign(slacks[at]))), one.name).replace("_", " ")
            found.append(Shortfall(what=motion, amount=float(abs(slacks[at])), unit="N m"))
    return found
