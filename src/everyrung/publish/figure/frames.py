"""A rung in motion as plain values for the studio's renderers: flesh, things and floor at each instant of a repetition.

What a renderer draws is decided here, as for print: it only joins the blobs, from frame to frame.
"""

import json
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from everyrung.body.mechanics import DRAWN, Job
from everyrung.body.rung_motion import STANDING, rung_motion
from everyrung.moves.library import Library
from everyrung.publish.figure.anatomy import FAR_BY_M, LIMB_JOINTS, arm, leg, trunk
from everyrung.publish.figure.between import between
from everyrung.publish.figure.geometry import Blob, View
from everyrung.publish.figure.implement import motion_with_kit, with_bell
from everyrung.publish.figure.layers import BodyAndProps, drawn_through
from everyrung.publish.figure.props import LOW_M, MARGIN_M, shapes
from everyrung.publish.figure.rung import VIEWS, props, skeleton
from everyrung.store.cache import Cache
from everyrung.store.digest import code_digest, digest
from everyrung.terms.demand import RungMotion
from everyrung.terms.enums import Side
from everyrung.terms.figure import LOADS, NEEDED_POINTS, Point3, Prop, Skeleton
from everyrung.terms.move import Form, Rung
from everyrung.terms.person import BodySize
from everyrung.terms.units import Load

CODE = ("everyrung.publish.figure", "everyrung.terms.figure")  # that draws
MOST_OFF_M = 0.003  # chosen, because a picture shows no less
DIGITS = 4  # of metres: a tenth of a millimetre, so that no bone grows by rounding


def rung_frames(
    rung: Rung,
    library: Library,
    cache: Cache | None = None,
    *,
    load: Load | None = None,
    size: BodySize = DRAWN,
    working: Side = Side.RIGHT,
) -> dict[str, Any]:
    """One repetition (or the hold) of a rung on one body, in m and ms, from the cache where known. Raises Invalid when
    there is no pose for it.
    """
    job = Job(form=rung.form, layer=library.pose(rung.form), size=size, load=load)
    key = digest(job.key(f"frames {working}"), rung.name, rung.form, with_bell(rung), code_digest(*CODE))
    text = cache.get_many([key]).get(key) if cache else None
    if text is not None:
        old: dict[str, Any] = json.loads(text)
        return old
    motion = motion_with_kit(rung_motion(job, cache, working), bell=with_bell(rung))
    frames = motion_frames(rung, motion)
    if cache and motion.has_converged:
        cache.put_many({key: json.dumps(frames)})
    return frames


def motion_frames(rung: Rung, motion: RungMotion) -> dict[str, Any]:
    """The values of a motion that is known.

    `pieces` name the flesh and its radii, `room` is what stands still, `floor` the corners of its patch, `through`
    which of the things, with which hands, are drawn through the body that hides them; of a frame, `flesh` holds the
    middles of all pieces' blobs one after another, and `things` what is moved.
    """
    poses = between(motion.poses, 2) if len(motion.poses) > 1 else list(motion.poses)
    bodies = [skeleton(pose) for pose in poses]
    things = [props(pose) for pose in poses]
    view = VIEWS[motion.seen]
    loose = [[one for one in pose_props if one.kind not in STANDING] for pose_props in things]
    frames = [_frame(body, pose_props) for body, pose_props in zip(bodies, loose, strict=True)]
    phases = _phases(rung.form, motion)
    return {
        "title": rung.name,
        "said": _description(rung, motion, phases),
        "view": motion.seen,
        "azimuth_deg": view.azimuth_deg,
        "above_deg": view.above_deg,
        "loop_ms": sum(phase["ms"] for phase in phases),
        "phases": phases,
        "stops_ms": list(motion.stops_ms),
        "full_ms": motion.ways_ms[0] if motion.ways_ms else 0,
        "pieces": _pieces(bodies, view),
        "room": [_thing(prop) for prop in things[-1] if prop.kind in STANDING],
        "floor": _floor(bodies, things),
        "through": _through(list(zip(bodies, things, strict=True)), view),
        "frames": [{"at_ms": at_ms, **frames[place]} for at_ms, place in _moments(motion, frames)],
    }


def _phases(form: Form, motion: RungMotion) -> list[dict[str, Any]]:
    """Names and lengths in the order of time; at full depth the pause, pulses and extra; none without length."""
    if motion.rests is None:
        return [{"name": form.phases[0], "ms": 0}]
    (going, there), (far, full), (coming, back), (near, rest) = form.in_time(form.tempo)
    extras = [("pulses", form.pulses_ms), (str(form.extra), form.extra_ms)]
    still = full - form.pulses_ms - form.extra_ms
    rows = [(going, there), (far, still), *extras, (coming, back), (near, rest)]
    return [{"name": name, "ms": ms} for name, ms in rows if ms]


def _description(rung: Rung, motion: RungMotion, phases: list[dict[str, Any]]) -> str:
    """What a listener is told."""
    where = {"side": "from the side", "front": "from the front"}.get(motion.seen, "from between front and side")
    steps = ", ".join(f"{phase['name']} {phase['ms'] / 1000:g} s" for phase in phases if phase["ms"])
    return f"{rung.name}, seen {where}: {steps or 'held still'}."


def _pieces(bodies: Sequence[Skeleton], view: View) -> list[dict[str, Any]]:
    far = _far(bodies, view)
    return [
        {"name": name, "layer": layer, "far": layer in far, "radii": [blob.radius_m for blob in blobs]}
        for layer, name, blobs in _flesh(bodies[0])
    ]


def _far(bodies: Sequence[Skeleton], view: View) -> set[str]:
    """The limbs clearly behind their fellow, judged once for the whole motion, so that none changes its ink."""
    result = set()
    for limb, joints in LIMB_JOINTS.items():
        depths = {
            side: sum(view.depth(body[f"{joint}_{side}"]) for body in bodies for joint in joints)
            / (len(bodies) * len(joints))
            for side in ("left", "right")
        }
        result |= {f"{limb}_{side}" for side, depth in depths.items() if depth - min(depths.values()) > FAR_BY_M}
    return result


def _flesh(body: Skeleton) -> list[tuple[str, str, tuple[Blob, ...]]]:
    """Every piece: its layer, its name, its blobs."""
    result = [("trunk", f"trunk_{at}", blobs) for at, blobs in enumerate(trunk(body))]
    for side in ("left", "right"):
        result += [(f"leg_{side}", name, blobs) for name, blobs in leg(body, side).items()]
        result += [(f"arm_{side}", name, blobs) for name, blobs in arm(body, side).items()]
    return result


def _frame(body: Skeleton, loose: Iterable[Prop]) -> dict[str, Any]:
    return {
        "points": {name: _round(body[name]) for name in NEEDED_POINTS},
        "flesh": [part for _, _, blobs in _flesh(body) for blob in blobs for part in _round(blob.at)],
        "things": [_thing(prop) for prop in loose],
    }


def _moments(motion: RungMotion, frames: Sequence[dict[str, Any]]) -> Iterator[tuple[int, int]]:
    """When which frame is there; one between two solved poses only where a straight way would dip or be off by 3 mm."""
    now = motion.instants[0]
    yield now.at_ms, 2 * now.pose
    for then in motion.instants[1:]:
        if abs(then.pose - now.pose) == 1:
            place = now.pose + then.pose
            if _dips(frames[2 * now.pose], frames[place], frames[2 * then.pose]):
                yield (now.at_ms + then.at_ms) // 2, place
        yield then.at_ms, 2 * then.pose
        now = then


def _dips(one: dict[str, Any], middle: dict[str, Any], other: dict[str, Any]) -> bool:
    """Whether flesh half way between two frames is elsewhere than where it is settled."""
    ways = zip(one["flesh"], middle["flesh"], other["flesh"], strict=True)
    return any(abs((start + end) / 2 - at) > MOST_OFF_M for start, at, end in ways)


def _through(poses: Sequence[BodyAndProps], view: View) -> list[dict[str, Any]]:
    """The moved things that have to be seen and are hidden in some pose, with the hands that hold them."""
    loose = [prop for prop in poses[0][1] if prop.kind not in STANDING]
    numbers = [number for number, prop in enumerate(loose) if prop.kind in LOADS]
    return [
        {"thing": numbers[number], "hands": [f"hand_{side}" for side in sides]}
        for number, sides in drawn_through(poses, view).items()
    ]


def _thing(prop: Prop) -> dict[str, Any]:
    """A thing's own values, and its outlines as blobs: x, y, z, radius."""
    return {
        "kind": prop.kind.value,
        "at": _round(prop.at),
        "to": _round(prop.to) if prop.to else None,
        "size_m": round(prop.size_m, DIGITS),
        "turn_deg": prop.turn_deg,
        "shapes": [
            {"solid": shape.solid, "blobs": [[*_round(one.at), round(one.radius_m, DIGITS)] for one in shape.blobs]}
            for shape in shapes(prop)
        ],
    }


def _floor(bodies: Sequence[Skeleton], things: Sequence[Sequence[Prop]]) -> list[list[float]]:
    """The corners of the patch that body and things stand over in any frame, going round."""
    low = [place for body in bodies for place in body.points.values() if place[2] < LOW_M]
    low += [
        one.at
        for pose_props in things
        for prop in pose_props
        if prop.to is None
        for shape in shapes(prop)
        for one in shape.blobs
        if one.at[2] - one.radius_m < LOW_M
    ]
    x0, x1 = min(place[0] for place in low) - MARGIN_M, max(place[0] for place in low) + MARGIN_M
    y0, y1 = min(place[1] for place in low) - MARGIN_M, max(place[1] for place in low) + MARGIN_M
    return [_round((x, y, 0.0)) for x, y in ((x0, y0), (x1, y0), (x1, y1), (x0, y1))]


def _round(place: Point3) -> list[float]:
    return [round(part, DIGITS) for part in place]
