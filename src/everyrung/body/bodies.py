"""Bodies by size: one model, built once in a process.

Muscle forces are fitted to joint strength: one factor a group, so that the joints are as strong as measured.
The upstream model's legs are those of a very strong man (knee extension 4.4 N m/kg) and its trunk that of a weak one
(extension 1.7 N m/kg). For every motion marked fitted in tables/joint_strength.csv the body takes the dynamometer's
posture, and the moments of all muscles that turn that way are added up. The factors are found by iterative proportional
fitting: in turn, each motion multiplies the factors of its groups by (measured / sum) to the power of the group's part
in it.

The upstream model's fibre lengths are fits, and with them a joint would keep at other angles what nobody measured (a
straight knee as strong as a bent one, a deeply bent hip half as strong). So in every pose the groups of each side are
fitted once more, to what the published curves give at that angle; by no more than LEAST and MOST, for a curve says
nothing of what a muscle over two joints does at the other one.
"""

from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from everyrung.body.configuration import Configuration, upright
from everyrung.body.coordinates import Array
from everyrung.body.joint_strength import body_coordinates
from everyrung.body.model import BodyModel, bare_body
from everyrung.tables.strength import strength_rows
from everyrung.terms.person import BodySize

LEAST, MOST = 0.4, 2.5  # chosen, because published curves fall to about 0.4 of their peak within the usual range
LEAST_NM = 1e-6  # chosen, only to divide by
POSE_ROUNDS = 25  # chosen, because the factors then change by less than 1 % a round
ROUNDS = 60  # chosen, because the sums then change by less than 0.1 % a round


@cache
def postures() -> dict[str, Array]:
    """The dynamometer's posture for each motion, both sides alike, as coordinates (one axis, laid out as in
    coordinates.py; m, quaternion, rad). Read from tables/joint_strength.csv.
    """
    by_motion: dict[str, Array] = {}
    for row in strength_rows():
        angles = {name: np.radians(deg) for each, deg in row.posture.items() for name in body_coordinates(each)}
        motions = (row.motion + name.removeprefix(row.coordinate) for name in body_coordinates(row.coordinate))
        by_motion |= dict.fromkeys(motions, upright(**angles))
    return by_motion


@dataclass(frozen=True, slots=True, kw_only=True)
class Pulls:
    """Moments, N m, of each group (axes: motion, group; both sides' muscles together) in the posture of each fitted
    motion, and the moments measured there (axis: motion).
    """

    motions: tuple[str, ...]
    groups: tuple[str, ...]
    moments_nm: Array
    measured_nm: Array


def pulls(body: BodyModel) -> Pulls:
    """What the body's muscles, as they are, yield in the dynamometer's postures, all of them pulling their hardest."""
    configuration, posture, strengths = Configuration(body), postures(), body.strengths
    groups = tuple(sorted({without_side(group) for group in body.muscles.groups}))
    member = np.array([[without_side(group) == name for group in body.muscles.groups] for name in groups], dtype=float)
    entries = np.flatnonzero(strengths.for_fit)
    rows, strength_nm = [], []
    for motion in entries:
        configuration.set_q(posture[strengths.motions[motion]])
        pull = body.muscles.active_force(configuration.muscle_lengths())
        turn = strengths.sign[motion] * configuration.moment_arms()[strengths.freedom[motion]] * pull
        rows.append(member @ np.maximum(turn, 0.0))
        strength_nm.append(strengths.at(configuration.q_ind)[motion])
    names = tuple(strengths.motions[motion] for motion in entries)
    return Pulls(motions=names, groups=groups, moments_nm=np.array(rows), measured_nm=np.array(strength_nm))


def without_side(group: str) -> str:
    """The name of a group of one side as both sides have it.

    >>> without_side("vasti_left")
    'vasti'
    """
    return group.rsplit("_", 1)[0]


def factors(moments: Array, strength_nm: Array) -> Array:
    """One factor a group such that the rows of `moments` (axes: motion, group; N m) add up to `strength_nm` (axis:
    motion) as nearly as can be, by iterative proportional fitting.
    """
    from everyrung.body.muscle_pull import proportional_factors  # late, for numba takes a third of a second

    return proportional_factors(moments, strength_nm, ROUNDS)


def calibrate(body: BodyModel) -> BodyModel:
    """The body with its muscles' forces fitted to its strengths, left and right alike."""
    dynamometry = pulls(body)
    factor = dict(zip(dynamometry.groups, factors(dynamometry.moments_nm, dynamometry.measured_nm), strict=True))
    scale = np.array([factor[without_side(group)] for group in body.muscles.groups])
    return replace(body, muscles=replace(body.muscles, force_n=body.muscles.force_n * scale))


def pose_factors(body: BodyModel, arms: Array, force_n: Array, q_ind: Array) -> Array:
    """One factor a muscle for this pose (axis: muscle), between LEAST and MOST. `arms` (axes: freedom, muscle; m) and
    `force_n` (axis: muscle) are at full effort, `q_ind` as in coordinates.py.
    """
    from everyrung.body.muscle_pull import fit_factors  # late, for numba takes a third of a second

    strengths, muscles = body.strengths, body.muscles
    motions = strengths.freedom[strengths.for_fit], strengths.sign[strengths.for_fit]
    measured_nm = strengths.at(q_ind)[strengths.for_fit]
    fit = arms.T, force_n, muscles.group, len(muscles.group_names), *motions, measured_nm
    factors: Array = fit_factors(*fit, POSE_ROUNDS, LEAST_NM, LEAST, MOST)[muscles.group]
    return factors


@cache
def body_model(size: BodySize) -> BodyModel:
    """The model of a body of this size, muscles as strong as its joints were measured; the same object each time."""
    return calibrate(bare_body(size))
