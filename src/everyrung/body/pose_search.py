"""The search for a pose, compiled: damped least squares (Levenberg and Marquardt), joints kept inside their range.

What is asked for is rows of numbers (ik_tasks.TaskRows): each is zero when it is met. A joint at its stop does not
push against it.

Axes: bone, joint, point, xyz and freedom, as of `model.KinematicTree`; row, line and angle, as of `TaskRows`; residual:
rows, then three numbers a line, then angles.
"""

from typing import NamedTuple

import numpy as np

from everyrung.body.coordinates import Array, Flags
from everyrung.body.ik_tasks import TaskRows
from everyrung.body.machine_code import machine_code
from everyrung.body.model import KinematicTree

MOST_STEPS = 120  # chosen, because a pose that has not converged by then is contradictory
MOST_DAMPING = 1e8  # chosen, because a step so short changes nothing
LEAST_DAMPING, FIRST_DAMPING, DAMPING_BY = 1e-9, 1e-3, 5.0  # chosen, because searches from rest then take few steps
SETTLED = 1e-9  # change of the cost that no longer shows
PLACE, ROOT, FREEDOMS = 3, 7, 6  # of the pelvis: numbers of its place, of place and turn, and its velocities


class Place(NamedTuple):
    """Scratch space: where bones, joints and points are in one pose (m, world axes), and how points move.

    Axes: bone, joint, point (the centre of mass last), xyz, freedom. `slope`: of each joint by its coordinate.
    """

    turn: Array
    at_m: Array
    branch_m: Array
    axis: Array
    anchor_m: Array
    slope: Array
    point_m: Array
    moves: Array


@machine_code
def make_place(tree: KinematicTree) -> Place:
    """Scratch arrays of zeros, large enough for one body."""
    bones, joints, points = len(tree.parent), len(tree.drives), len(tree.bone) + 1
    freedoms = FREEDOMS + len(tree.low)
    return Place(
        np.zeros((bones, 4)), np.zeros((bones, 3)), np.zeros((bones, 3)), np.zeros((joints, 3)), np.zeros((joints, 3)),
        np.zeros(joints), np.zeros((points, 3)), np.zeros((points, 3, freedoms)),
    )  # fmt: skip


@machine_code
def multiply(one: Array, other: Array, into: Array) -> None:
    """The product of two quaternions (axis: w, x, y, z); `into` may be `one`."""
    a, b, c, d = one[0], one[1], one[2], one[3]
    w, x, y, z = other[0], other[1], other[2], other[3]
    into[0] = a * w - b * x - c * y - d * z
    into[1] = a * x + b * w + c * z - d * y
    into[2] = a * y - b * z + c * w + d * x
    into[3] = a * z + b * y - c * x + d * w


@machine_code
def turn_vector(turn: Array, vector: Array, into: Array) -> None:
    """A vector (axis: xyz) turned by a unit quaternion (axis: w, x, y, z)."""
    w, x, y, z = turn[0], turn[1], turn[2], turn[3]
    u, v, s = vector[0], vector[1], vector[2]
    a = 2 * (y * s - z * v)
    b = 2 * (z * u - x * s)
    c = 2 * (x * v - y * u)
    into[0] = u + w * a + y * c - z * b
    into[1] = v + w * b + z * a - x * c
    into[2] = s + w * c + x * b - y * a


@machine_code
def quaternion(axis: Array, angle_rad: float, into: Array) -> None:
    """Writes the turn by an angle about a unit vector (axis: xyz) into a quaternion (axis: w, x, y, z)."""
    into[0] = np.cos(angle_rad / 2)
    into[1:] = np.sin(angle_rad / 2) * axis


@machine_code
def put(tree: KinematicTree, q_ind: Array, place: Place) -> None:
    """All bones, joints, points and centres of the pose `q_ind` (axis: as in coordinates.py; m, quaternion, rad), m."""
    arm, by = np.empty(3), np.empty(4)
    for bone in range(1, len(tree.parent)):
        turn, at = place.turn[bone], place.at_m[bone]
        if bone == 1:
            at[:], turn[:] = q_ind[:PLACE], q_ind[PLACE:ROOT]
        else:
            above = place.turn[tree.parent[bone]]
            turn_vector(above, tree.place_m[bone], arm)
            at[:] = place.at_m[tree.parent[bone]] + arm
            multiply(above, tree.turn[bone], turn)
        for joint in range(tree.first[bone], tree.first[bone + 1]):
            x = q_ind[ROOT + tree.drives[joint]]
            inside = min(max(x, tree.fitted_low[joint]), tree.fitted_high[joint])
            c = tree.coefficients[joint]
            slope = ((4 * c[4] * inside + 3 * c[3]) * inside + 2 * c[2]) * inside + c[1]
            value = (((c[4] * inside + c[3]) * inside + c[2]) * inside + c[1]) * inside + c[0] + slope * (x - inside)
            place.slope[joint] = slope  # as `Couplings.positions`, to which tests/body hold it
            turn_vector(turn, tree.axis[joint], place.axis[joint])
            turn_vector(turn, tree.anchor_m[joint], arm)
            place.anchor_m[joint] = at + arm
            if tree.turns[joint]:
                quaternion(tree.axis[joint], value, by)
                multiply(turn, by, turn)
                turn_vector(turn, tree.anchor_m[joint], arm)
                at[:] = place.anchor_m[joint] - arm
            else:
                at += value * place.axis[joint]
    for point in range(len(tree.bone)):
        turn_vector(place.turn[tree.bone[point]], tree.point_m[point], arm)
        place.point_m[point] = place.at_m[tree.bone[point]] + arm
    put_centres(tree, place)


@machine_code
def put_centres(tree: KinematicTree, place: Place) -> None:
    """The centres of every bone with all bones beyond it, and of the whole body."""
    arm = np.empty(3)
    for bone in range(1, len(tree.parent)):
        turn_vector(place.turn[bone], tree.centre_m[bone], arm)
        place.branch_m[bone] = tree.mass_kg[bone] * (place.at_m[bone] + arm)
    for bone in range(len(tree.parent) - 1, 1, -1):
        place.branch_m[tree.parent[bone]] += place.branch_m[bone]
    for bone in range(1, len(tree.parent)):
        if tree.branch_kg[bone] > 0:
            place.branch_m[bone] /= tree.branch_kg[bone]
    place.point_m[-1] = place.branch_m[1]


@machine_code
def add_joint(place: Place, joint: int, turns: bool, freedom: int, at: Array, share: float, moves: Array) -> None:
    """How a point at `at` moves with one joint, into the column of its coordinate."""
    axis, scale = place.axis[joint], place.slope[joint] * share
    if turns:
        x, y, z = at[0] - place.anchor_m[joint, 0], at[1] - place.anchor_m[joint, 1], at[2] - place.anchor_m[joint, 2]
        moves[0, freedom] += scale * (axis[1] * z - axis[2] * y)
        moves[1, freedom] += scale * (axis[2] * x - axis[0] * z)
        moves[2, freedom] += scale * (axis[0] * y - axis[1] * x)
    else:
        for row in range(3):
            moves[row, freedom] += scale * axis[row]


@machine_code
def put_moves(tree: KinematicTree, place: Place, in_use: Flags) -> None:
    """d(point)/dt by independent velocities, of the points that are `in_use`."""
    unit, axis = np.zeros(3), np.empty(3)
    for point in range(len(in_use)):
        if not in_use[point]:
            continue
        moves, at = place.moves[point], place.point_m[point]
        moves[:] = 0.0
        for row in range(3):
            moves[row, row] = 1.0
            unit[:] = 0.0
            unit[row] = 1.0
            turn_vector(place.turn[1], unit, axis)
            x, y, z = at[0] - place.at_m[1, 0], at[1] - place.at_m[1, 1], at[2] - place.at_m[1, 2]
            moves[0, 3 + row] = axis[1] * z - axis[2] * y
            moves[1, 3 + row] = axis[2] * x - axis[0] * z
            moves[2, 3 + row] = axis[0] * y - axis[1] * x
        if point == len(tree.bone):
            for bone in range(2, len(tree.parent)):
                share = tree.branch_kg[bone] / tree.branch_kg[1]
                for joint in range(tree.first[bone], tree.first[bone + 1]):
                    freedom = FREEDOMS + tree.drives[joint]
                    add_joint(place, joint, tree.turns[joint], freedom, place.branch_m[bone], share, moves)
        else:
            bone = tree.bone[point]
            while bone > 1:
                for joint in range(tree.first[bone], tree.first[bone + 1]):
                    add_joint(place, joint, tree.turns[joint], FREEDOMS + tree.drives[joint], at, 1.0, moves)
                bone = tree.parent[bone]


@machine_code
def residuals(rows: TaskRows, place: Place, q_ind: Array) -> Array:
    """What is off, unweighted (axis: residual): lengths in METRE, differences of unit vectors, rad."""
    count, lines = len(rows.weight), len(rows.line_weight)
    off = np.empty(count + 3 * lines + len(rows.angle_weight))
    for row in range(count):
        total = -rows.constant[row]
        for entry in range(rows.begins[row], rows.begins[row + 1]):
            at, by = place.point_m[rows.point[entry]], rows.coefficient[entry]
            total += by[0] * at[0] + by[1] * at[1] + by[2] * at[2]
        off[row] = total
    for line in range(lines):
        way = place.point_m[rows.end[line]] - place.point_m[rows.start[line]]
        length = np.sqrt(way[0] ** 2 + way[1] ** 2 + way[2] ** 2)
        first = count + 3 * line
        off[first : first + 3] = way / length - rows.direction[line]
    for angle in range(len(rows.angle_weight)):
        off[count + 3 * lines + angle] = q_ind[ROOT + rows.coordinate[angle]] - rows.angle_rad[angle]
    return off


@machine_code
def weights(rows: TaskRows) -> Array:
    """The factor of each number that is off (axis: residual)."""
    count, lines = len(rows.weight), len(rows.line_weight)
    factors = np.empty(count + 3 * lines + len(rows.angle_weight))
    factors[:count] = rows.weight
    for line in range(lines):
        factors[count + 3 * line : count + 3 * line + 3] = rows.line_weight[line]
    factors[count + 3 * lines :] = rows.angle_weight
    return factors


@machine_code
def slopes(rows: TaskRows, place: Place) -> Array:
    """The Jacobian (axes: residual, freedom), METRE or rad per m or rad; `place` has the moves of all points used."""
    count, lines = len(rows.weight), len(rows.line_weight)
    freedoms = place.moves.shape[2]
    jacobian = np.zeros((count + 3 * lines + len(rows.angle_weight), freedoms))
    for row in range(count):
        for entry in range(rows.begins[row], rows.begins[row + 1]):
            moves = place.moves[rows.point[entry]]
            for axis in range(3):
                by = rows.coefficient[entry, axis]
                if by != 0.0:
                    for freedom in range(freedoms):
                        jacobian[row, freedom] += by * moves[axis, freedom]
    for line in range(lines):
        way = place.point_m[rows.end[line]] - place.point_m[rows.start[line]]
        length = np.sqrt(way[0] ** 2 + way[1] ** 2 + way[2] ** 2)
        x, y, z = way / length
        end, start, first = place.moves[rows.end[line]], place.moves[rows.start[line]], count + 3 * line
        for freedom in range(freedoms):
            u, v, w = (end[:, freedom] - start[:, freedom]) / length
            along = x * u + y * v + z * w
            jacobian[first, freedom] = u - x * along
            jacobian[first + 1, freedom] = v - y * along
            jacobian[first + 2, freedom] = w - z * along
    for angle in range(len(rows.angle_weight)):
        jacobian[count + 3 * lines + angle, FREEDOMS + rows.coordinate[angle]] = 1.0
    return jacobian


@machine_code
def used_points(tree: KinematicTree, rows: TaskRows) -> Flags:
    """Whether any row or line speaks of it (axis: point)."""
    in_use = np.zeros(len(tree.bone) + 1, dtype=np.bool_)
    for point in rows.point:
        in_use[point] = True
    for line in range(len(rows.start)):
        in_use[rows.start[line]] = True
        in_use[rows.end[line]] = True
    return in_use


@machine_code
def cost_at(off: Array, weight: Array, q_ind: Array, toward: Array, ease: float) -> float:
    """The sum of squares, in the units of the residuals, of what is weighted and off (axis: residual) and of the pull
    towards `toward`, `ease` for each rad of an angle.
    """
    total = 0.0
    for row in range(len(off)):
        total += (weight[row] * off[row]) ** 2
    for row in range(ROOT, len(q_ind)):
        total += (ease * (q_ind[row] - toward[row])) ** 2
    return total


@machine_code
def normal_equations(
    off: Array, weight: Array, jacobian: Array, q_ind: Array, toward: Array, ease: float
) -> tuple[Array, Array]:
    """J'J (axes: freedom, freedom) and J'r (axis: freedom) of all weighted residuals and of the pull towards `toward`;
    most of a row's slopes are zero.
    """
    freedoms = jacobian.shape[1]
    normal, slope = np.zeros((freedoms, freedoms)), np.zeros(freedoms)
    some = np.empty(freedoms, dtype=np.int64)
    for row in range(len(off)):
        count, square = 0, weight[row] ** 2
        for freedom in range(freedoms):
            if jacobian[row, freedom] != 0.0:
                some[count] = freedom
                count += 1
        for one in range(count):
            by = square * jacobian[row, some[one]]
            slope[some[one]] += by * off[row]
            for other in range(count):
                normal[some[one], some[other]] += by * jacobian[row, some[other]]
    for freedom in range(FREEDOMS, freedoms):
        at = freedom - FREEDOMS + ROOT
        normal[freedom, freedom] += ease * ease
        slope[freedom] += ease * ease * (q_ind[at] - toward[at])
    return normal, slope


@machine_code
def step_from(tree: KinematicTree, q_ind: Array, normal: Array, slope: Array, damping: float) -> Array:
    """The damped step, m and rad (axis: freedom); a joint at its stop does not push against it."""
    freedoms = len(slope)
    inner, change = normal.copy(), -slope
    for freedom in range(freedoms):
        inner[freedom, freedom] += damping
    for freedom in range(FREEDOMS, freedoms):
        at = freedom - FREEDOMS
        angle, pull = q_ind[ROOT + at], -slope[freedom]
        if (angle <= tree.low[at] and pull < 0) or (angle >= tree.high[at] and pull > 0):
            inner[freedom, :] = 0.0
            inner[:, freedom] = 0.0
            inner[freedom, freedom] = 1.0
            change[freedom] = 0.0
    step: Array = np.linalg.solve(inner, change).astype(np.float64)
    return step


@machine_code
def step_to(tree: KinematicTree, q_ind: Array, change: Array) -> Array:
    """The coordinates after a step, m, quaternion and rad (axis: as in coordinates.py), angles inside their range."""
    after, by, turn = q_ind.copy(), np.empty(4), change[3:FREEDOMS]
    after[:PLACE] += change[:PLACE]
    angle = np.sqrt(turn[0] ** 2 + turn[1] ** 2 + turn[2] ** 2)
    if angle > 0.0:
        quaternion(turn / angle, angle, by)
        multiply(q_ind[PLACE:ROOT], by, after[PLACE:ROOT])
    length = np.sqrt((after[PLACE:ROOT] ** 2).sum())
    after[PLACE:ROOT] /= length
    for at in range(len(tree.low)):
        after[ROOT + at] = min(max(q_ind[ROOT + at] + change[FREEDOMS + at], tree.low[at]), tree.high[at])
    return after


@machine_code
def search(
    tree: KinematicTree, rows: TaskRows, start: Array, toward: Array, ease: float
) -> tuple[Array, Array, float, int]:
    """From `start` to where the cost no longer falls: coordinates (axis: as in coordinates.py; m, quaternion, rad),
    residuals (axis: residual), the last fall of the cost as a part of it, steps.
    """
    place, in_use, weight = make_place(tree), used_points(tree, rows), weights(rows)
    q_ind, damping, fall, steps = start.copy(), FIRST_DAMPING, np.inf, 0
    put(tree, q_ind, place)
    off = residuals(rows, place, q_ind)
    cost = cost_at(off, weight, q_ind, toward, ease)
    while steps < MOST_STEPS and fall > SETTLED:
        steps += 1
        before = cost
        put_moves(tree, place, in_use)
        normal, slope = normal_equations(off, weight, slopes(rows, place), q_ind, toward, ease)
        while damping < MOST_DAMPING:
            trial = step_to(tree, q_ind, step_from(tree, q_ind, normal, slope, damping))
            put(tree, trial, place)
            off_there = residuals(rows, place, trial)
            cost_there = cost_at(off_there, weight, trial, toward, ease)
            if cost_there < cost:
                q_ind, off, cost = trial, off_there, cost_there
                damping = max(damping / DAMPING_BY, LEAST_DAMPING)
                break
            damping *= DAMPING_BY
        else:
            damping = FIRST_DAMPING
        fall = (before - cost) / max(1.0, before)
    return q_ind, off, fall, steps
