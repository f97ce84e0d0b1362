"""Every picture of every rung: no hand, foot or outline in floor, ball or wall by more than 5 mm, and what a rung is
about is seen. The limit is the project's own: at a picture of 4 cm it is a ninth of a millimetre.
"""

from collections.abc import Iterator, Sequence
from functools import cache
from itertools import accumulate

import numpy as np
import pytest

from everyrung.body.mechanics import DRAWN, Job
from everyrung.body.rung_motion import rung_motion
from everyrung.moves.lever_words import read_lever
from everyrung.moves.library import standard_library
from everyrung.publish.figure.between import between
from everyrung.publish.figure.frames import motion_frames
from everyrung.publish.figure.geometry import FRONT, SIDE, THREE_QUARTER, Flat, depth_m
from everyrung.publish.figure.layers import Layer, drawn_through, holding, layers_of, loads
from everyrung.publish.figure.rung import overlaps, props, settle, skeleton
from everyrung.publish.video.figures import pictures
from everyrung.store.cache import default_cache
from everyrung.terms.demand import Drawing, RungMotion
from everyrung.terms.enums import LoadNeed
from everyrung.terms.figure import LOADS, Prop, PropKind, Skeleton
from everyrung.terms.move import Rung
from everyrung.terms.units import Load, Mass, MassUnit

MOST_MM = 5.0
LEAST_SEEN, GRID = 0.2, 20  # of an area; chosen, because a fifth of a hand is still read as one
VIEWS = (SIDE, FRONT, THREE_QUARTER)
ADDRESSES = [rung.address for key in standard_library().keys for rung in standard_library().move(key).versions]
# Those that were wrong once: far hands and feet, a lost ball, an arm in one, shoulders in the floor, a hand in a wall.
KNOWN = [
    "bird-dog/half", "bird-dog/base", "ball-turn/base", "ball-squeeze-press/base", "ball-leg-curl/base",
    "side-step/wall", "side-lunge/shift-wall", "spine-curl-stretch/thread", "spine-curl-stretch/heels",
    "split-squat/opposite", "push-up/knees", "one-leg-hinge/opposite", "split-squat/turn",
]  # fmt: skip
EXTRAS = ["ball-leg-curl/base+leg lift", "ball-leg-curl/base+floor tap"]
SAMPLE = sorted({*KNOWN, *EXTRAS, *ADDRESSES[::60]})


@cache
def rung_at(address: str) -> tuple[Rung, RungMotion]:
    library = standard_library()
    move, _, key = address.partition("/")
    key, _, extra = key.partition("+")
    rung = library.custom_rung(move, key, (read_lever({"extra": extra}),)) if extra else library.rung(move, key)
    pieces = {LoadNeed.ONE: 1, LoadNeed.PAIR: 2}.get(rung.form.load, 0)
    mass = Mass(amount=5, unit=MassUnit.KG)
    load = Load(pieces=(mass,) * pieces, carry=rung.form.carry) if pieces else None
    job = Job(form=rung.form, layer=library.pose(rung.form), size=DRAWN, load=load)
    return rung, rung_motion(job, default_cache())


def three(poses: Sequence[Drawing]) -> list[Drawing]:
    """Rest, half way, full depth."""
    return [poses[at] for at in sorted({0, len(poses) // 2, len(poses) - 1})]


def faults(address: str) -> Iterator[str]:
    _, motion = rung_at(address)
    for pose in between(motion.poses, 2):
        for one in overlaps(skeleton(pose), props(pose)):
            if one.deep_mm > MOST_MM:
                yield f"{address}: {one.part} {one.deep_mm:.0f} mm in the {one.thing}"


def below_the_line(address: str) -> Iterator[str]:
    """Outlines under the floor's line, in the views in which it is a line."""
    _, motion = rung_at(address)
    for pose in three(motion.poses):
        body, things = skeleton(pose), props(pose)
        for view in (SIDE, FRONT):
            for layer in layers_of(body, things, view):
                deep = max((flat[1] for one in layer.outlines for flat in one.flats), default=0.0)
                if 1000 * deep > MOST_MM and layer.name.startswith(("leg", "arm", "trunk", "head")):
                    yield f"{address}: {layer.name} {1000 * deep:.0f} mm below the line"


def midway(address: str) -> Iterator[str]:
    """Half way between two frames, as the stage draws it: with the cubic of figure/timeline.js, lifted to the floor."""
    rung, motion = rung_at(address)
    frames = motion_frames(rung, motion)
    radii = [radius for piece in frames["pieces"] for radius in piece["radii"]]
    for row in halves(frames):
        places = [(row[3 * at], row[3 * at + 1], max(row[3 * at + 2], radius)) for at, radius in enumerate(radii)]
        balls = row[3 * len(radii) :]
        things = [Prop(kind=PropKind.FLOOR, at=(0.0, 0.0, 0.0), size_m=1.0)]
        if len(balls):
            things.append(Prop(kind=PropKind.BALL, at=(balls[0], balls[1], balls[2]), size_m=balls[3]))
        for thing in things:
            deep = max(depth_m(place, radius, thing) for place, radius in zip(places, radii, strict=True))
            if 1000 * deep > MOST_MM:
                yield f"{address}: {1000 * deep:.0f} mm in the {thing.kind} between frames"


def halves(frames: dict) -> Iterator[np.ndarray]:
    """Flesh and ball half way between frames."""
    times = [frame["at_ms"] for frame in frames["frames"]]
    rows = [np.array([*frame["flesh"], *ball_of(frame)]) for frame in frames["frames"]]
    still = {0, *accumulate(phase["ms"] for phase in frames["phases"]), *frames["stops_ms"]}
    slopes = [
        np.zeros_like(row) if at in (0, len(rows) - 1) or times[at] in still else _slope(rows, times, at)
        for at, row in enumerate(rows)
    ]
    for at in range(len(rows) - 1):
        wide = times[at + 1] - times[at]
        yield (rows[at] + rows[at + 1]) / 2 + wide / 8 * (slopes[at] - slopes[at + 1])


def _slope(rows: list[np.ndarray], times: list[int], at: int) -> np.ndarray:
    before, after = times[at] - times[at - 1], times[at + 1] - times[at]
    came, goes = (rows[at] - rows[at - 1]) / before, (rows[at + 1] - rows[at]) / after
    return (after * came + before * goes) / (before + after)


def ball_of(frame: dict) -> list[float]:
    return next(([*each["at"], each["size_m"]] for each in frame["things"] if each["kind"] == "ball"), [])


def unseen(address: str) -> Iterator[str]:
    """Loads of which neither enough is seen nor a rim drawn through what hides them, with the hand that holds them."""
    rung, motion = rung_at(address)
    if not rung.form.load.pieces:
        return
    for pose in three(motion.poses):
        body, things = skeleton(pose), props(pose)
        if rung.form.load is LoadNeed.MEDICINE_BALL:
            if [prop.kind for prop in things].count(PropKind.BALL) != 1:
                yield f"{address}: not one medicine ball is drawn"
            continue
        if not list(loads(things)):
            yield f"{address}: no load is drawn"
        for view in VIEWS:
            layers = layers_of(body, things, view)
            for number, sides in drawn_through([(body, things)], view).items():
                names = [one.name for layer in layers if layer.name == "through" for one in layer.outlines]
                if names.count("hand") < len(sides) or not set(LOADS) & set(names):
                    yield f"{address}: load {number} or a hand of it is not drawn"
        if through_of(motion) and not motion_frames(rung, motion)["through"]:
            yield f"{address}: print draws a load through the body, the stage does not"


def painted_over(address: str) -> Iterator[str]:
    """Pictures in which no holding hand, or a load, can be made out, by sampling what is painted over its area."""
    _, motion = rung_at(address)
    for number, pose in enumerate(three(motion.poses)):
        body, things = skeleton(pose), props(pose)
        hands = {f"hand_{side}" for load in loads(things) for side in holding(body, load)}
        for view in VIEWS:
            layers = layers_of(body, things, view)
            if any(layer.name == "through" for layer in layers):
                continue
            shares = [_seen(layers, at, one.flats) for at, layer in enumerate(layers) for one in layer.outlines
                      if one.name in hands]  # fmt: skip
            if shares and max(shares) < LEAST_SEEN:
                yield f"{address}, {number}, {view.azimuth_deg:.0f} degrees: {max(shares):.0%} of a hand is seen"
            at_loads = [(at, one.flats) for at, layer in enumerate(layers) if layer.name in LOADS
                        for one in layer.outlines]  # fmt: skip
            if at_loads and max(_seen(layers, at, flats) for at, flats in at_loads) < LEAST_SEEN:
                yield f"{address}, {number}, {view.azimuth_deg:.0f} degrees: no load is seen"


def _seen(layers: Sequence[Layer], at: int, flats: Sequence[Flat]) -> float:
    """The share of an outline's area over which no later layer of the body is painted."""
    corners = np.array(flats)
    low, high = corners.min(axis=0), corners.max(axis=0)
    spots = np.stack(np.meshgrid(*np.linspace(low, high, GRID).T), axis=-1).reshape(-1, 2)
    spots = spots[_within(spots, corners)]
    later = [one.flats for layer in layers[at + 1 :] if layer.name not in LOADS for one in layer.outlines]
    covered = np.zeros(len(spots), dtype=bool)
    for each in later:
        covered |= _within(spots, np.array(each))
    return 1.0 - float(covered.mean())


def _within(spots: np.ndarray, corners: np.ndarray) -> np.ndarray:
    ways, along = np.roll(corners, -1, axis=0) - corners, spots[:, None] - corners
    sides = ways[:, 0] * along[..., 1] - ways[:, 1] * along[..., 0]
    return (sides >= 0).all(axis=1) | (sides <= 0).all(axis=1)


def through_of(motion: RungMotion) -> bool:
    """Whether print draws a load through the body in the view of the move."""
    view = {"side": SIDE, "front": FRONT, "three-quarter": THREE_QUARTER}[motion.seen]
    return any(
        layer.name == "through" for pose in motion.poses for layer in layers_of(skeleton(pose), props(pose), view)
    )


@pytest.mark.parametrize("address", SAMPLE)
def test_no_part_is_in_floor_ball_or_wall(address: str) -> None:
    assert not [*faults(address), *below_the_line(address), *midway(address)]


@pytest.mark.parametrize("address", SAMPLE)
def test_a_load_and_its_hand_are_seen_from_everywhere(address: str) -> None:
    assert not [*unseen(address), *painted_over(address)]


def test_a_film_draws_a_load_through_the_body_in_all_of_its_pictures_or_in_none() -> None:
    _, motion = rung_at("split-squat/opposite")
    made = pictures([motion.poses], VIEWS[0], 400, 400)
    assert {'class="layer through"' in one for one in made} == {True}


@pytest.mark.slow
def test_no_picture_of_any_rung_has_a_part_in_a_thing_or_hides_its_load() -> None:
    assert len(ADDRESSES) > 300
    found = [
        fault
        for each in ADDRESSES
        for fault in (*faults(each), *below_the_line(each), *midway(each), *unseen(each), *painted_over(each))
    ]
    assert not found, "\n".join(found)


def test_the_measure_sees_a_foot_below_the_floor_and_a_hand_in_a_ball() -> None:
    _, motion = rung_at("bird-dog/base")
    drawing = motion.poses[0]
    raw = Skeleton(points=dict(drawing.points))
    things = props(drawing)
    assert any(one.part.startswith("toes") and one.deep_mm > 50 for one in overlaps(raw, things))
    wrist = raw["wrist_left"]
    ball = Prop(kind=PropKind.BALL, at=wrist, size_m=0.5)
    assert any(one.thing is PropKind.BALL and one.deep_mm > 100 for one in overlaps(raw, [ball]))
    wall = Prop(kind=PropKind.WALL, at=(0.0, wrist[1], 0.0), size_m=2.0)
    assert any(one.thing is PropKind.WALL for one in overlaps(raw, [wall]))


def test_no_bone_changes_its_length_when_hands_and_feet_are_turned() -> None:
    _, motion = rung_at("bird-dog/base")
    for drawing in motion.poses:
        raw = Skeleton(points=dict(drawing.points))
        body, _ = settle(raw, props(drawing))
        for joint, end in (("ankle", "toe"), ("ankle", "heel"), ("wrist", "fingertip"), ("knee", "ankle")):
            for side in ("left", "right"):
                before, after = (
                    sum((a - b) ** 2 for a, b in zip(one[f"{joint}_{side}"], one[f"{end}_{side}"], strict=True))
                    for one in (raw, body)
                )
                assert after == pytest.approx(before, rel=1e-9)
