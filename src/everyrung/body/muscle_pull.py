"""How muscles pull in a pose, compiled: their arms, their force by length, the fit to published strength.

Axes: muscle, freedom (an independent velocity), group, motion.
"""

import numpy as np

from everyrung.body.coordinates import Array, Integers
from everyrung.body.machine_code import machine_code


@machine_code
def arms_of(
    count: Integers, first: Integers, column: Integers, slope: Array, driving: Integers, rate: Array, freedoms: int
) -> Array:
    """Generalised force, N and N m (axes: muscle, freedom), for one newton of pull.

    `count`, `first`, `column` and `slope` are the sparse rows of d(length)/dt by the model's own velocities (axis:
    muscle, the last two entry); each of those goes with one independent one, `driving`, at a `rate`.
    """
    arms = np.zeros((len(count), freedoms))
    for muscle in range(len(count)):
        for entry in range(first[muscle], first[muscle] + count[muscle]):
            own = column[entry]
            arms[muscle, driving[own]] -= rate[own] * slope[entry]
    return arms


@machine_code
def force_length(stretch: Array, shortest: Array, longest: Array) -> Array:
    """Active force by normalised length, a part of the greatest (axis of all: muscle): MuJoCo's piecewise quadratic,
    half-way knots.
    """
    force = np.zeros(len(stretch))
    for muscle in range(len(stretch)):
        x, start, end = stretch[muscle], shortest[muscle], longest[muscle]
        low, high = (1 + start) / 2, (1 + end) / 2
        if x < start or x > end:
            continue
        if x <= low:
            force[muscle] = ((x - start) / (low - start)) ** 2 / 2
        elif x <= 1:
            force[muscle] = 1 - ((1 - x) / (1 - low)) ** 2 / 2
        elif x <= high:
            force[muscle] = 1 - ((x - 1) / (high - 1)) ** 2 / 2
        else:
            force[muscle] = ((end - x) / (end - high)) ** 2 / 2
    return force


@machine_code
def passive_stretch(stretch: Array, longest: Array, passive: Array) -> Array:
    """Passive force by normalised length, a part of the greatest active force (axis of all: muscle): MuJoCo's curve,
    quadratic and then straight.
    """
    force = np.zeros(len(stretch))
    for muscle in range(len(stretch)):
        knot = (1 + longest[muscle]) / 2
        x = max((stretch[muscle] - 1) / (knot - 1), 0.0)
        if stretch[muscle] <= knot:
            force[muscle] = passive[muscle] * x**2 / 2
        else:
            force[muscle] = passive[muscle] * (0.5 + (stretch[muscle] - knot) / (knot - 1))
    return force


@machine_code
def fit_factors(
    arms: Array, force_n: Array, group: Integers, groups: int, freedom: Integers, sign: Array, measured_nm: Array,
    rounds: int, least_nm: float, least: float, most: float,
) -> Array:  # fmt: skip
    """One factor a group such that its muscles' moments come near to those measured, N m: `freedom`, `sign` of each
    motion. Axes: `arms` (muscle, freedom); `force_n`, `group` by muscle; `measured_nm` by motion.

    In every round each motion asks all its groups for what it lacks, and a group grants the mean of what it is asked,
    each by the group's part in that motion.
    """
    motions = len(freedom)
    moments = np.zeros((motions, groups))
    for muscle in range(len(group)):
        for motion in range(motions):
            moments[motion, group[muscle]] += max(sign[motion] * arms[muscle, freedom[motion]] * force_n[muscle], 0.0)
    factors, now = np.ones(groups), np.empty(groups)
    step, weight = np.empty(groups), np.empty(groups)
    for _ in range(rounds):
        step[:], weight[:] = 0.0, 0.0
        for motion in range(motions):
            total = 0.0
            for one in range(groups):
                now[one] = moments[motion, one] * factors[one]
                total += now[one]
            total = max(total, least_nm)
            off = np.log(measured_nm[motion] / total)
            for one in range(groups):
                if now[one] > 0.0:
                    part = now[one] / total
                    step[one] += off * part
                    weight[one] += part
        for one in range(groups):
            by = np.exp(step[one] / max(weight[one], 1.0))
            factors[one] = min(max(factors[one] * by, least), most)
    return factors


@machine_code
def proportional_factors(moments: Array, strength_nm: Array, rounds: int) -> Array:
    """Iterative proportional fitting: one factor a group, so that each motion is as measured (axes of `moments`:
    motion, group; N m).
    """
    motions, groups = moments.shape
    factors = np.ones(groups)
    for _ in range(rounds):
        for motion in range(motions):
            total = 0.0
            for group in range(groups):
                total += moments[motion, group] * factors[group]
            for group in range(groups):
                part = moments[motion, group] * factors[group] / total
                factors[group] *= (strength_nm[motion] / total) ** part
    return factors
