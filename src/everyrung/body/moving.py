"""A rung in motion on one body: the poses it was solved in, and when in a repetition each of them is."""

from dataclasses import replace
from math import acos, pi

import msgspec

from everyrung.body.depths import solve_depths
from everyrung.body.drawn import drawing
from everyrung.body.mechanics import Job, kept
from everyrung.body.path import ways
from everyrung.body.placed import Placed
from everyrung.body.posing import Setting
from everyrung.body.settings import setting
from everyrung.store.cache import Cache
from everyrung.terms.fault import Invalid
from everyrung.terms.figure import PropKind
from everyrung.terms.motion import Instant, RungMotion
from everyrung.terms.move import PULSE_MS
from everyrung.terms.rung_demand import Drawing, Thing
from everyrung.terms.vocabulary import Side

STANDING = {PropKind.FLOOR, PropKind.WALL, PropKind.CHAIR, PropKind.STEP, PropKind.MAT}  # what nobody moves


def rung_motion(job: Job, cache: Cache | None = None, working: Side = Side.RIGHT) -> RungMotion:
    """The motion of a job, from the cache where known. Raises Invalid for a pose that names what no body has."""
    key = job.key(f"motion {working}")
    known = kept(cache.get_many([key]).get(key), RungMotion) if cache else None
    if known is not None:
        return known
    found = _computed(job, working)
    if cache and found.settled:
        cache.put_many({key: msgspec.json.encode(found).decode()})
    return found


def _computed(job: Job, working: Side) -> RungMotion:
    form = job.form
    given = setting(form, job.layer, job.size, job.load, working)
    rests = None if form.tempo.is_hold else given.layer.rests
    if rests is None and not form.tempo.is_hold:
        raise Invalid("pose.rests", "'top' or 'bottom' for a move that is counted", "nothing")
    poses, settled = _poses(given, hold=form.tempo.is_hold)
    ways_ms = ways(form.tempo, rests, form.pulses * PULSE_MS) if rests else ()
    return RungMotion(
        poses=poses,
        instants=_instants(ways_ms, len(poses) - 1, form.pulses),
        ways_ms=ways_ms,
        rests=rests,
        seen=given.layer.seen or "side",
        settled=settled,
    )


def _poses(given: Setting, *, hold: bool) -> tuple[tuple[Drawing, ...], bool]:
    """The drawings over depth, and whether every search settled; what stands in the room keeps its place."""
    solved = solve_depths(given, hold=hold)
    placed = Placed(given.body)
    drawn = [drawing(placed, given, one, solved[-1]) for one in solved]
    poses = tuple(replace(one, things=_kept(one.things, drawn[-1].things)) for one in drawn)
    return poses, all(one.settled for one in solved)


def _kept(things: tuple[Thing, ...], full: tuple[Thing, ...]) -> tuple[Thing, ...]:
    """Chairs, walls and steps as they are met at full depth: they do not follow the part that will touch them."""
    return tuple(last if last.kind in STANDING else here for here, last in zip(things, full, strict=True))


def _instants(ways_ms: tuple[int, ...], last: int, pulses: int) -> tuple[Instant, ...]:
    """Rest to rest. Between its ends the body swings as a pendulum does: depth is a cosine of time."""
    if not ways_ms:
        return (Instant(at_ms=0, pose=0),)
    there, full, back, rest = ways_ms
    shares = [acos(1 - 2 * pose / last) / pi for pose in range(last + 1)]
    found = [Instant(at_ms=round(there * share), pose=pose) for pose, share in enumerate(shares)]
    begins = there + full - pulses * PULSE_MS
    for pulse in range(pulses):  # one small bend is there and back over the last step of depth
        at_ms = begins + pulse * PULSE_MS
        found += [Instant(at_ms=at_ms, pose=last), Instant(at_ms=at_ms + PULSE_MS // 2, pose=last - 1)]
    found += [Instant(at_ms=there + full + round(back * share), pose=last - pose) for pose, share in enumerate(shares)]
    found.append(Instant(at_ms=there + full + back + rest, pose=0))
    return tuple(dict.fromkeys(found))  # without pauses some fall together
