"""A solved pose as the named points and things that a figure is drawn from."""

from collections.abc import Iterator, Sequence

import numpy as np

from everyrung.body.configuration import Configuration
from everyrung.body.coordinates import Array
from everyrung.body.pose_problem import LEVEL, PoseProblem, vector
from everyrung.body.pose_vocabulary import parts, points, push_direction
from everyrung.body.rung_demand import misfit_lines
from everyrung.body.self_checks import self_checks
from everyrung.body.trajectory import PoseAtDepth, full_of, solve_depths
from everyrung.terms.demand import Drawing, DrawnProp, RungDrawing
from everyrung.terms.enums import LoadNeed, Side, Surface
from everyrung.terms.figure import Point3, Prop, PropKind, Skeleton
from everyrung.terms.pose import Ground, Push, Touch

HEAD_M, HANDLE_M = 0.09, 0.24  # chosen, because middling dumbbells are about so thick and so long
BELL_M, BELL_BELOW_M = 0.18, 0.16  # chosen, because kettlebells of 8 to 12 kg are about so thick, under the handle
TETHER_M = 0.7  # chosen, because so much of a band shows where it goes
STRAIGHT = 0.8  # cosine between upper arm and forearm; chosen, because a bell hangs in line with a nearly straight arm
BALL_SHARE = 0.33  # of the stature; chosen, because a ball is 45 to 65 cm for people of 1.50 to 1.90 m
BACKREST_M = 0.42  # chosen, as the figure's chair is
WALL_SHARE = 1.1  # of the stature; chosen, because a wall is seen to be one when it ends above the head
CHAIR_BACK_M = 0.6  # chosen, because what is touched higher than this is a chair's back
SEAT_HALF_M = 0.20
TURN = {Push.FORWARD: 0.0, Push.BACK: 180.0}
HELD_BALL = {Surface.BALL_FRONT: "palm", Surface.BALL_OVERHEAD: "palm", Surface.BALL_BETWEEN: "knee"}


def rung_drawing(problem: PoseProblem, *, hold: bool) -> RungDrawing:
    """The rung's poses for a figure, and what belongs to them. Raises Invalid as rung_demand does."""
    poses = solve_depths(problem, hold=hold)
    full, configuration = full_of(poses), Configuration(problem.body)
    return RungDrawing(
        rest=drawing(configuration, problem, poses[0], full),
        full=drawing(configuration, problem, full, full),
        extra=None if poses[-1] is full else drawing(configuration, problem, poses[-1], full),
        seen=problem.layer.seen or "side",
        self_checks=tuple(check.say for check in self_checks(problem)),
        misfits=misfit_lines(poses),
        has_converged=all(one.has_converged for one in poses),
    )


def drawing(configuration: Configuration, problem: PoseProblem, pose: PoseAtDepth, full: PoseAtDepth) -> Drawing:
    """Points and things of a solved pose as plain values, m; `full` is the pose at full depth, where a chair is met.

    In an extra a ball that is not held lies where it was. Raises Invalid for a part or point that no body has.
    """
    configuration.set_q(full.q_ind)
    seat_m = float(configuration.point("seat_left")[2])
    left = _plain(things(configuration, problem, seat_m))
    configuration.set_q(pose.q_ind)
    props = _plain(things(configuration, problem, seat_m))
    if pose.depth > 1 and problem.surface not in HELD_BALL:
        props = tuple(was if was.kind == PropKind.BALL else now for was, now in zip(left, props, strict=True))
    return Drawing(points=tuple(skeleton(configuration, problem, pose.depth).points.items()), things=props)


def _plain(props: tuple[Prop, ...]) -> tuple[DrawnProp, ...]:
    return tuple(
        DrawnProp(kind=prop.kind.value, at=prop.at, size_m=prop.size_m, to=prop.to, turn_deg=prop.turn_deg)
        for prop in props
    )


def skeleton(configuration: Configuration, problem: PoseProblem, depth: float) -> Skeleton:
    """The named points, m, hands laid flat where they bear on something. Raises Invalid for a part that no body has."""
    by_name = {name: vector(configuration.point(name)) for name in configuration.body.landmarks}
    layer, share = problem.step(depth)
    for contact_name, touch in layer.touching(share):
        for name, _, side in parts(contact_name, problem.working):
            if name.startswith("hand_"):
                by_name |= _flat_hand(configuration, touch, side)
    return Skeleton(points=by_name)


def _flat_hand(configuration: Configuration, touch: Touch, side: Side) -> dict[str, Point3]:
    """The upstream model's wrist is stiff; a hand that bears weight is bent back until it lies on its support."""
    wrist, tip = configuration.point(f"wrist_{side}"), configuration.point(f"fingertip_{side}")
    normal = push_direction(touch.push, side)
    along = np.array([0.0, -1.0, 0.0]) if touch.push is Push.UP else np.array([0.0, 0.0, 1.0])
    if touch.push is Push.UP:
        forearm = wrist - configuration.point(f"elbow_{side}")
        level = forearm - normal * (forearm @ normal)
        if np.linalg.norm(level) > 0.5 * np.linalg.norm(forearm):
            along = level / np.linalg.norm(level)
    reach = along * float(np.linalg.norm(tip - wrist))
    heel = wrist - 0.5 * 0.04 * normal
    return {f"fingertip_{side}": vector(heel + reach), f"grip_{side}": vector(heel + 0.5 * reach)}


def things(configuration: Configuration, problem: PoseProblem, seat_m: float | None = None) -> tuple[Prop, ...]:
    """Floor, supports, ball and load around a pose, m. `seat_m`: how high a chair is that is met at full depth. Raises
    Invalid for a part or point that no body has.
    """
    props = [Prop(kind=PropKind.FLOOR, at=(0.0, 0.0, 0.0), size_m=1.0)]
    supports: set[tuple[Ground, Push]] = set()
    for name, touch in problem.layer.touch.items():
        if touch and touch.on not in LEVEL and (touch.on, touch.push) not in supports:
            supports.add((touch.on, touch.push))
            props += _support(configuration, problem, name, touch, seat_m)
    return (
        *props,
        *_held_ball(configuration, problem),
        *_load(configuration, problem),
        *_bands(configuration, problem),
    )


def _support(
    configuration: Configuration, problem: PoseProblem, name: str, touch: Touch, seat_m: float | None
) -> Iterator[Prop]:
    pieces = parts(name, problem.working)
    at = np.mean([configuration.point(point) for _, one, _ in pieces for point, _ in one.points], axis=0)
    push, side = push_direction(touch.push, pieces[0][2]), pieces[0][2]
    height = problem.height_m(touch) if touch.height else seat_m or float(at[2])
    if touch.on is Ground.WALL:
        yield _wall(problem, at - push * pieces[0][1].pad_m, touch, side)
    elif touch.on is Ground.BALL_AT_WALL:
        size = BALL_SHARE * problem.stature_m
        yield Prop(kind=PropKind.BALL, at=vector(at - push * size / 2), size_m=size)
        yield _wall(problem, at - push * size, touch, side)
    elif touch.on is Ground.BALL_UNDER:
        size = height or BALL_SHARE * problem.stature_m
        yield Prop(kind=PropKind.BALL, at=vector([at[0], at[1], size / 2]), size_m=size)
    elif touch.on is Ground.STEP:
        yield Prop(kind=PropKind.STEP, at=vector([at[0], at[1], 0.0]), size_m=height)
    elif height > CHAIR_BACK_M and name.startswith("hand"):
        yield Prop(kind=PropKind.CHAIR, at=vector([at[0], at[1] - SEAT_HALF_M, 0.0]), size_m=height - BACKREST_M)
    else:
        turn = 0.0 if name.startswith(("seat", "buttock")) else 180.0
        yield Prop(kind=PropKind.CHAIR, at=vector([at[0], at[1], 0.0]), size_m=height, turn_deg=turn)


def _wall(problem: PoseProblem, at: Array, touch: Touch, side: Side) -> Prop:
    turn = TURN.get(touch.push, 90.0 if side is Side.RIGHT else -90.0)
    size = max(WALL_SHARE * problem.stature_m, float(at[2]) + 0.2)
    return Prop(kind=PropKind.WALL, at=vector([at[0], at[1], 0.0]), size_m=size, turn_deg=turn)


def _held_ball(configuration: Configuration, problem: PoseProblem) -> Iterator[Prop]:
    name = HELD_BALL.get(problem.surface)
    if name:
        yield _between([configuration.point(f"{name}_{side}") for side in ("left", "right")])


def _between(hands: Sequence[Array]) -> Prop:
    """A ball as thick as both hands, or knees, are apart."""
    one, other = hands
    return Prop(kind=PropKind.BALL, at=vector((one + other) / 2), size_m=float(np.linalg.norm(one - other)))


def _bell(configuration: Configuration, grip: Array, side: str) -> Prop:
    """A kettlebell in line with a straight arm, else straight under the hand."""
    shoulder, elbow, wrist = (configuration.point(f"{name}_{side}") for name in ("shoulder", "elbow", "wrist"))
    upper, fore = (way / np.linalg.norm(way) for way in (elbow - shoulder, wrist - elbow))
    way = fore if upper @ fore > STRAIGHT else np.array([0.0, 0.0, -1.0])
    return Prop(kind=PropKind.KETTLEBELL, at=vector(grip), to=vector(grip + BELL_BELOW_M * way), size_m=BELL_M)


def _load(configuration: Configuration, problem: PoseProblem) -> Iterator[Prop]:
    """A dumbbell in each hand that holds one; one alone in two hands, or laid down, is drawn in the middle."""
    if not problem.load_kg or problem.surface in HELD_BALL:
        return
    for name in problem.layer.hangs:
        names = [point for point, _ in points(name, configuration.body.point_names, problem.working)]
        places = [configuration.point(point) for point in names]
        if problem.load is LoadNeed.MEDICINE_BALL:
            yield _between(places)
        elif problem.load is LoadNeed.KETTLEBELL:
            yield _bell(configuration, np.mean(places, axis=0), names[0].rpartition("_")[2])
        elif len(names) > 1 and problem.load.pieces == 1:
            yield _bar(np.mean([configuration.point(point) for point in names], axis=0), np.array([0.0, 0.0, 1.0]))
        elif name.startswith("grip"):
            for point in names:
                yield held_dumbbell(configuration, point.removeprefix("grip_"))
        else:
            for point in names:
                yield _bar(configuration.point(point) + np.array([0.0, 0.0, HEAD_M / 2]), np.array([1.0, 0.0, 0.0]))


def held_dumbbell(configuration: Configuration, side: str) -> Prop:
    """A dumbbell in the fist of one side: its handle lies across the palm. Raises Invalid as `Prop` does."""
    wrist, grip, tip = (configuration.point(f"{name}_{side}") for name in ("wrist", "grip", "fingertip"))
    across = np.cross(tip - wrist, grip - wrist)
    return _bar(grip, across / np.linalg.norm(across))


def _bar(middle: Array, along: Array) -> Prop:
    half = along * HANDLE_M / 2
    return Prop(kind=PropKind.DUMBBELL, at=vector(middle - half), to=vector(middle + half), size_m=HEAD_M)


def _bands(configuration: Configuration, problem: PoseProblem) -> Iterator[Prop]:
    for pull in problem.pulls(0.0) if problem.band_n else ():
        if pull.newtons > 0:
            far = configuration.point(pull.end) + (TETHER_M * np.array(pull.way) if pull.way else 0.0)
            ends = (vector(configuration.point(pull.start)), vector(far))
            yield Prop(kind=PropKind.BAND, at=ends[0], to=ends[1], size_m=0.02)
