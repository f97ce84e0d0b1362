"""The least effort, compiled: who carries what.

The quadratic programme of static_optimization.py, min 1/2 sum w x^2 such that A x + s = b and l <= x <= u, with slacks
s of weight W, is solved by its dual: for multipliers y the best x is A'y / w held between l and u, and s is y / W. What
is left of b is the slope of a concave function of y, piecewise quadratic: Newton's steps, each to where the function is
flat enough along it, end after some few, with exact zeros.
"""

from typing import NamedTuple

import numpy as np

from everyrung.body.coordinates import Array, Flags, Integers
from everyrung.body.machine_code import machine_code

MOST_STEPS = 100  # chosen, because 12 was the most of 298 programmes of 15 moves
MOST_TRIES = 40  # of a step's length; chosen, because such a step changes nothing
FLATTER = 0.5  # of the slope at a step's beginning, at its end; chosen: much less costs more tries than it saves steps
DOWNHILL = 0.1  # the same where it falls at the end; chosen, because at half of it some steps went round in a circle
MOST_IDLE = 4  # steps that come no nearer; chosen, because one may go astray before the next two arrive
NEAR = 1e-12  # of the greatest number asked for; chosen, because it is a few times the rounding
NEAR_ENOUGH = 1e-7  # the same, where no step comes nearer; chosen, because that is 0.1 N mm of 1000 N m


class Columns(NamedTuple):
    """The columns of A without their zeros: where each begins (axis: column, one more at the end), the rows and the
    values in it (axis: entry).
    """

    begins: Integers
    row: Integers
    value: Array


@machine_code
def generators(pull: Array, strength_nm: Array, freedom: Integers, sign: Array, alone: Flags, least_nm: float) -> Array:
    """The torque, signed, N m (axis: motion), of the generator of each motion: its strength less what muscles can give
    (axes of `pull`: muscle, freedom; N m).

    Where it turns that way `alone` all of it; 0 where that is less than `least_nm`.
    """
    left = np.zeros(len(sign))
    for motion in range(len(sign)):
        has = 0.0
        if not alone[motion]:
            for muscle in range(pull.shape[0]):
                has += max(sign[motion] * pull[muscle, freedom[motion]], 0.0)
        torque = max(strength_nm[motion] - has, 0.0)
        left[motion] = sign[motion] * torque if torque > least_nm else 0.0
    return left


@machine_code
def gather(many: Array, at: Integers, single: Array, push: Array) -> Columns:
    """Columns of three kinds, one after the other: `many` and `push` (axes: column, row), and one value each in the
    rows `at` (axis of `at` and `single`: column).
    """
    begins = np.zeros(many.shape[0] + len(at) + push.shape[0] + 1, dtype=np.int64)
    row = np.empty(many.size + len(at) + push.size, dtype=np.int64)
    value, column, count = np.empty(len(row)), 0, 0
    for block in (many, push):
        for one in range(block.shape[0]):
            for place in range(block.shape[1]):
                if block[one, place] != 0.0:
                    row[count], value[count] = place, block[one, place]
                    count += 1
            column += 1
            begins[column] = count
        if column == many.shape[0]:
            row[count : count + len(at)], value[count : count + len(at)] = at, single
            for _ in range(len(at)):
                count, column = count + 1, column + 1
                begins[column] = count
    return Columns(begins, row[:count].copy(), value[:count].copy())


@machine_code
def put_best(columns: Columns, weight: Array, least: Array, most: Array, y: Array, x: Array) -> None:
    """Writes into `x` the numbers that cost least for the multipliers `y` (axes: `x`, `weight`, `least`, `most` by
    column, `y` by row).
    """
    for column in range(len(x)):
        t = 0.0
        for entry in range(columns.begins[column], columns.begins[column + 1]):
            t += columns.value[entry] * y[columns.row[entry]]
        x[column] = min(max(t / weight[column], least[column]), most[column])


@machine_code
def left_over(columns: Columns, x: Array, y: Array, slack: Array, target: Array) -> Array:
    """What of `target` is not met, in its units (axis: row): the slope of the dual."""
    left = target - y / slack
    for column in range(len(x)):
        if x[column] != 0.0:
            for entry in range(columns.begins[column], columns.begins[column + 1]):
                left[columns.row[entry]] -= columns.value[entry] * x[column]
    return left


@machine_code
def curvature(columns: Columns, weight: Array, least: Array, most: Array, x: Array, slack: Array) -> Array:
    """Minus the dual's second derivative (axes: row, row): of those x that are between their ends."""
    size = len(slack)
    matrix = np.zeros((size, size))
    for row in range(size):
        matrix[row, row] = 1.0 / slack[row]
    for column in range(len(x)):
        if least[column] < x[column] < most[column]:
            for one in range(columns.begins[column], columns.begins[column + 1]):
                by = columns.value[one] / weight[column]
                for other in range(columns.begins[column], columns.begins[column + 1]):
                    matrix[columns.row[one], columns.row[other]] += by * columns.value[other]
    return matrix


@machine_code
def length_of(
    columns: Columns, weight: Array, least: Array, most: Array, slack: Array, target: Array,
    y: Array, step: Array, first_slope: float,
) -> float:  # fmt: skip
    """How far along a step (axis: row) to go, as a share of it: all, or to where the dual is flat enough (false
    position, Illinois). `first_slope` is the slope where the step begins.
    """
    x = np.empty(len(weight))
    low, low_slope, high, share = 0.0, first_slope, 1.0, 1.0
    put_best(columns, weight, least, most, y + step, x)
    high_slope, last = float(step @ left_over(columns, x, y + step, slack, target)), 0
    if high_slope >= -DOWNHILL * first_slope:
        return 1.0
    for _ in range(MOST_TRIES):
        share = (high * low_slope - low * high_slope) / (low_slope - high_slope)
        put_best(columns, weight, least, most, y + share * step, x)
        slope = float(step @ left_over(columns, x, y + share * step, slack, target))
        if -DOWNHILL * first_slope <= slope <= FLATTER * first_slope:
            break
        if slope > 0.0:
            low, low_slope = share, slope
            high_slope = high_slope / 2 if last == 1 else high_slope
            last = 1
        else:
            high, high_slope = share, slope
            low_slope = low_slope / 2 if last == -1 else low_slope
            last = -1
    return share


@machine_code
def least_effort(
    columns: Columns, weight: Array, least: Array, most: Array, slack: Array, target: Array
) -> tuple[Array, Array, bool]:
    """The answer x (axis: column), the slacks (axis: row), and whether it has converged. `target` and `slack`: a number
    a row; `weight`, `least` and `most`: a number a column.

    The first multipliers are those of numbers without ends: from there three or four steps suffice.
    """
    x = (least + np.minimum(most, least + 1.0)) / 2  # all of them between their ends
    y: Array = np.linalg.solve(curvature(columns, weight, least, most, x, slack), target).astype(np.float64)
    put_best(columns, weight, least, most, y, x)
    scale = max(1.0, np.abs(target).max())
    left = left_over(columns, x, y, slack, target)
    best, nearest, idle = y, np.abs(left).max(), 0
    for _ in range(MOST_STEPS):
        if nearest <= NEAR * scale:
            break
        step: Array = np.linalg.solve(curvature(columns, weight, least, most, x, slack), left).astype(np.float64)
        share = length_of(columns, weight, least, most, slack, target, y, step, float(left @ step))
        y = y + share * step
        put_best(columns, weight, least, most, y, x)
        left = left_over(columns, x, y, slack, target)
        if np.abs(left).max() < nearest:
            best, nearest, idle = y, np.abs(left).max(), 0
        elif nearest <= NEAR_ENOUGH * scale:
            idle += 1
            if idle == MOST_IDLE:
                break  # rounding is all that is left
    put_best(columns, weight, least, most, best, x)
    return x, best / slack, nearest <= NEAR_ENOUGH * scale
