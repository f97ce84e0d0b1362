"""The least effort, compiled: who carries what.

The quadratic programme of static_optimization.py, min 1/2 sum w x^2 such that A x + s = b and 0 <= x <= u, with slacks
s of weight W, is solved by its dual: for multipliers y the best x is A'y / w held between 0 and u, and s is y / W. What
is left of b is the slope of a concave function of y, piecewise quadratic: Newton's steps, shortened where they would
not rise, end after some few, with exact zeros.
"""

from typing import NamedTuple

import numpy as np

from everyrung.body.coordinates import Array
from everyrung.body.kinematic_tree import Flags, Integers
from everyrung.body.machine_code import machine_code

MOST_STEPS = 100  # chosen, because 12 was the most of 298 programmes of 15 moves
MOST_HALVINGS = 40  # chosen, because a step so short changes nothing
RISE = 1e-4  # of what the slope promises: Armijo's rule, with the usual value (from memory: Nocedal and Wright)
ROUNDING = 1e-10  # of the dual; chosen, because a rise below it could be rounding: such steps are taken blindly
MOST_BLIND = 8  # chosen, because two or three are enough
NEAR = 1e-12  # of the greatest number asked for; chosen, because it is a few times the rounding
NEAR_ENOUGH = 1e-7  # the same, where no step comes nearer; chosen, because that is 0.1 N mm of 1000 N m


class Columns(NamedTuple):
    """The columns of A without their zeros: where each begins (one more at the end), the rows and the values in it."""

    begins: Integers
    row: Integers
    value: Array


@machine_code
def generators(pull: Array, strength_nm: Array, freedom: Integers, sign: Array, alone: Flags, least_nm: float) -> Array:
    """The torque, signed, of the generator of each motion: its strength less what muscles (muscle, freedom) can give.

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
    """Columns of three kinds, one after the other: `many` and `push` (column, row), and one value each in the rows
    `at`."""
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
def dual_at(columns: Columns, weight: Array, most: Array, slack: Array, wanted: Array, y: Array, x: Array) -> float:
    """The dual at the multipliers y; the best x for them is put into `x`."""
    total = 0.0
    for row in range(len(y)):
        total += wanted[row] * y[row] - 0.5 * y[row] ** 2 / slack[row]
    for column in range(len(x)):
        t = 0.0
        for entry in range(columns.begins[column], columns.begins[column + 1]):
            t += columns.value[entry] * y[columns.row[entry]]
        x[column] = min(max(t / weight[column], 0.0), most[column])
        total -= t * x[column] - 0.5 * weight[column] * x[column] ** 2
    return total


@machine_code
def left_over(columns: Columns, x: Array, y: Array, slack: Array, wanted: Array) -> Array:
    """What of `wanted` is not met: the slope of the dual."""
    left = wanted - y / slack
    for column in range(len(x)):
        if x[column] != 0.0:
            for entry in range(columns.begins[column], columns.begins[column + 1]):
                left[columns.row[entry]] -= columns.value[entry] * x[column]
    return left


@machine_code
def curvature(columns: Columns, weight: Array, most: Array, x: Array, slack: Array) -> Array:
    """Minus the dual's second derivative: of those x that are between their ends."""
    size = len(slack)
    found = np.zeros((size, size))
    for row in range(size):
        found[row, row] = 1.0 / slack[row]
    for column in range(len(x)):
        if 0.0 < x[column] < most[column]:
            for one in range(columns.begins[column], columns.begins[column + 1]):
                by = columns.value[one] / weight[column]
                for other in range(columns.begins[column], columns.begins[column + 1]):
                    found[columns.row[one], columns.row[other]] += by * columns.value[other]
    return found


@machine_code
def least_effort(
    columns: Columns, weight: Array, most: Array, slack: Array, wanted: Array
) -> tuple[Array, Array, bool]:
    """The answer x, the slacks, and whether it settled. `wanted` and `slack`: a number a row.

    The first multipliers are those of numbers without ends: from there three or four steps suffice.
    """
    x = np.minimum(most, 1.0) / 2  # all of them between their ends
    y: Array = np.linalg.solve(curvature(columns, weight, most, x, slack), wanted).astype(np.float64)
    dual = dual_at(columns, weight, most, slack, wanted, y, x)
    scale = max(1.0, np.abs(wanted).max())
    left = left_over(columns, x, y, slack, wanted)
    best, least, blind = y, np.abs(left).max(), 0
    for _ in range(MOST_STEPS):
        if least <= NEAR * scale or blind == MOST_BLIND:
            break
        step: Array = np.linalg.solve(curvature(columns, weight, most, x, slack), left).astype(np.float64)
        promised, share = left @ step, 1.0
        y = y + step
        reached = dual_at(columns, weight, most, slack, wanted, y, x)
        if promised <= ROUNDING * abs(dual):
            blind += 1
        else:
            for _ in range(MOST_HALVINGS):
                if reached >= dual + RISE * share * promised:
                    break
                share /= 2
                y = y - share * step
                reached = dual_at(columns, weight, most, slack, wanted, y, x)
        dual, left = reached, left_over(columns, x, y, slack, wanted)
        if np.abs(left).max() < least:
            best, least = y, np.abs(left).max()
    dual_at(columns, weight, most, slack, wanted, best, x)  # the x of the best
    return x, best / slack, least <= NEAR_ENOUGH * scale
