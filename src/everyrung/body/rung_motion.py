"""A rung in motion on one body: the poses it was solved in, and when in a repetition each of them is."""

from dataclasses import replace
from itertools import pairwise
from math import acos, pi

import msgspec

from everyrung.body.configuration import Configuration
from everyrung.body.figure_points import drawing
from everyrung.body.mechanics import Job, from_cache
from everyrung.body.pose_problem import PoseProblem, pose_problem
from everyrung.body.trajectory import DEPTHS, STEP_DEPTHS, full_of, solve_depths
from everyrung.store.cache import Cache
from everyrung.terms.demand import Drawing, DrawnProp, Instant, RungMotion
from everyrung.terms.enums import Side
from everyrung.terms.errors import Invalid
from everyrung.terms.figure import PropKind
from everyrung.terms.move import PULSE_MS, Form

STANDING = {PropKind.FLOOR, PropKind.WALL, PropKind.CHAIR, PropKind.STEP, PropKind.MAT}  # what nobody moves


def rung_motion(job: Job, cache: Cache | None = None, working: Side = Side.RIGHT) -> RungMotion:
    """The motion of a job, from the cache where known. Raises Invalid for a pose that names what no body has."""
    key = job.key(f"motion {working}")
    old = from_cache(cache.get_many([key]).get(key), RungMotion) if cache else None
    if old is not None:
        return old
    motion = _solve_motion(job, working)
    if cache and motion.has_converged:
        cache.put_many({key: msgspec.json.encode(motion).decode()})
    return motion


def _solve_motion(job: Job, working: Side) -> RungMotion:
    form = job.form
    problem = pose_problem(form, job.layer, job.size, job.load, working)
    rests = None if form.tempo.is_hold else problem.layer.rests
    if rests is None and not form.tempo.is_hold:
        raise Invalid("pose.rests", "'top' or 'bottom' for a move that is counted", "nothing")
    poses, has_converged = _poses(problem, hold=form.tempo.is_hold)
    ways_ms = tuple(ms for _, ms in form.in_time(form.tempo)) if rests else ()
    stops_ms = _stops_ms(ways_ms, form.extra_ms, len(problem.layer.steps)) if rests else ()
    return RungMotion(
        poses=poses,
        instants=_instants(ways_ms, form, stops_ms) if rests else (Instant(at_ms=0, pose=0),),
        ways_ms=ways_ms,
        stops_ms=stops_ms,
        rests=rests,
        seen=problem.layer.seen or "side",
        has_converged=has_converged,
    )


def _poses(problem: PoseProblem, *, hold: bool) -> tuple[tuple[Drawing, ...], bool]:
    """The drawings over depth, and whether every search has converged; what stands in the room keeps its place."""
    at_depths = solve_depths(problem, hold=hold)
    configuration = Configuration(problem.body)
    full = full_of(at_depths)
    drawings = [drawing(configuration, problem, one, full) for one in at_depths]
    stands = drawings[at_depths.index(full)].things
    poses = tuple(replace(one, things=_keep_fixtures(one.things, stands)) for one in drawings)
    return poses, all(one.has_converged for one in at_depths)


def _keep_fixtures(things: tuple[DrawnProp, ...], full: tuple[DrawnProp, ...]) -> tuple[DrawnProp, ...]:
    """Chairs, walls and steps as they are met at full depth: they do not follow the part that will touch them."""
    return tuple(last if last.kind in STANDING else here for here, last in zip(things, full, strict=True))


def _stops_ms(ways_ms: tuple[int, ...], extra_ms: int, steps: int) -> tuple[int, ...]:
    """When each way through a step of an extra ends: there one after the other, and the same way back."""
    begins, count = ways_ms[0] + ways_ms[1] - extra_ms, 2 * steps
    return tuple(begins + round(extra_ms * (place + 1) / count) for place in range(count))


def _instants(ways_ms: tuple[int, ...], form: Form, stops_ms: tuple[int, ...]) -> tuple[Instant, ...]:
    """Rest to rest. Between its ends the body swings as a pendulum does: depth is a cosine of time."""
    there, full, back, rest = ways_ms
    last = DEPTHS - 1
    instants = _swing(0, there, range(last + 1))
    pulses_at = there + full - form.extra_ms - form.pulses_ms
    for pulse in range(form.pulses):  # one small bend is there and back over the last step of depth
        at_ms = pulses_at + pulse * PULSE_MS
        instants += [Instant(at_ms=at_ms, pose=last), Instant(at_ms=at_ms + PULSE_MS // 2, pose=last - 1)]
    instants += _extra(there + full - form.extra_ms, stops_ms, last)
    instants += _swing(there + full, back, range(last, -1, -1))
    instants.append(Instant(at_ms=there + full + back + rest, pose=0))
    return tuple(dict.fromkeys(instants))  # without pauses some fall together


def _extra(begins_ms: int, stops_ms: tuple[int, ...], last: int) -> list[Instant]:
    """The poses of an extra's steps, there and back; they come after those of the depths."""
    ends = [last + place * STEP_DEPTHS for place in range(len(stops_ms) // 2 + 1)]
    ways = [range(one, other + 1) for one, other in pairwise(ends)]
    ways += [range(one, other - 1, -1) for one, other in pairwise(ends[::-1])]
    times = pairwise((begins_ms, *stops_ms))
    return [
        one for (at_ms, end_ms), poses in zip(times, ways, strict=True) for one in _swing(at_ms, end_ms - at_ms, poses)
    ]


def _swing(begins_ms: int, lasting_ms: int, poses: range) -> list[Instant]:
    """One way through some poses at equal steps of depth."""
    last = len(poses) - 1
    return [
        Instant(at_ms=begins_ms + round(lasting_ms * acos(1 - 2 * place / last) / pi), pose=pose)
        for place, pose in enumerate(poses)
    ]
