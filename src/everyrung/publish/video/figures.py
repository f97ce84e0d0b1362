"""A rung's motion as pictures: in-between poses, all on one sheet, so that the floor stays where it is.

The figure of a rung at any time, as a sprite.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from threading import Lock
from zlib import compress, decompress

import numpy as np

from everyrung.body.mechanics import DRAWN, Job
from everyrung.body.rung_motion import STANDING, rung_motion
from everyrung.body.static_optimization import NoSolution
from everyrung.moves.library import Library
from everyrung.publish.figure.between import between
from everyrung.publish.figure.draw import Pen, floor_line, ink
from everyrung.publish.figure.geometry import Box, Flat, Sheet, View, box_round, convex
from everyrung.publish.figure.implement import motion_with_kit, with_bell
from everyrung.publish.figure.layers import Layer, drawn_through, layers_of
from everyrung.publish.figure.props import LOW_M, MARGIN_M, shapes
from everyrung.publish.figure.rung import VIEWS, props, skeleton
from everyrung.publish.video import layout
from everyrung.publish.video.raster import DARKEST, PICTURES, Sprite, cover_of, ink_planes, rasters
from everyrung.publish.video.scenes import SceneView, Stopwatch
from everyrung.score.marks import num, tag
from everyrung.store.cache import Cache
from everyrung.terms.demand import Drawing, DrawnProp, RungMotion
from everyrung.terms.enums import Side, Sidedness
from everyrung.terms.errors import Invalid
from everyrung.terms.figure import Point3, Prop, PropKind, Skeleton
from everyrung.terms.move import Form
from everyrung.terms.units import Load, Tempo

CLEARLY_M = 0.1  # chosen, because a body is about so thick from its middle
MOST_PX_PER_M = 330.0  # chosen, because lying bodies would else be drawn much larger than standing ones
BodyAndProps = tuple[Skeleton, tuple[Prop, ...]]
OTHER = {"left": "right", "right": "left"}


def other_side(drawing: Drawing, middle_m: float = 0.0) -> Drawing:
    """The pose with left and right exchanged, mirrored over the plane x = `middle_m`."""
    points = tuple((_other_name(name), _over(place, middle_m)) for name, place in drawing.points)
    things = tuple(
        replace(one, at=_over(one.at, middle_m), to=one.to and _over(one.to, middle_m), turn_deg=-one.turn_deg)
        for one in drawing.things
    )
    return Drawing(points=points, things=things)


def middle_m(drawing: Drawing) -> float:
    """Where the body's middle is from right to left, m."""
    return dict(drawing.points)["pelvis"][0]


def lopsided(drawing: Drawing) -> bool:
    """Whether a wall, chair or step stands to one side of the body: mirrored, the room would jump."""
    return any(abs(one.at[0] - middle_m(drawing)) > CLEARLY_M for one in _standing(drawing))


def pictures(motions: Sequence[Sequence[Drawing]], view: View, wide: int, high: int) -> list[str]:
    """An SVG picture of each pose of each motion, all of one size of at most wide x high px and to one scale."""
    poses = [[(skeleton(one), props(one)) for one in motion] for motion in motions]
    layers = [layers for motion in poses for layers in _motion_layers(motion, view)]
    bodies = [each for motion in poses for each in motion]
    floor = _floor(bodies, view)
    flats = [flat for result in layers for layer in result for one in layer.outlines for flat in one.flats]
    box, pen = box_round([*flats, *floor]), Pen(height_mm=float(high))
    scale = _scale(box, pen, wide, high)
    sheet = Sheet(mm_per_m=scale, x_mm=pen.edge_mm - box.left * scale, y_mm=pen.edge_mm - box.top * scale)
    size = (2 * pen.edge_mm + box.width * scale, 2 * pen.edge_mm + pen.below_mm + box.height * scale)
    ground = floor_line([sheet.on(flat) for flat in floor], pen) if floor else ""
    result = []
    for each in layers:
        body = "".join(ink(layer, sheet, pen) for layer in each)
        result.append(_svg(body + ground if len(floor) == 2 else ground + body, size))
    return result


def _motion_layers(poses: Sequence[BodyAndProps], view: View) -> list[list[Layer]]:
    """What is drawn through the body is so from the motion's start to its end, or its dashes would come and go."""
    through = drawn_through(poses, view)
    return [layers_of(body, near, view, through) for body, near in poses]


def _standing(drawing: Drawing) -> list[DrawnProp]:
    """What stands in the room and is more than floor: it has a place that does not change sides."""
    return [one for one in drawing.things if one.kind in STANDING and one.kind not in (PropKind.FLOOR, PropKind.MAT)]


def hides(drawing: Drawing, view: View) -> bool:
    """Whether a wall or the like stands between the eye and the body, which could only be drawn wrongly."""
    pelvis = dict(drawing.points)["pelvis"]
    return any(view.depth(one.at) < view.depth(pelvis) - CLEARLY_M for one in _standing(drawing))


def _scale(box: Box, pen: Pen, wide: int, high: int) -> float:
    """Pixels for a metre: as large as the room allows, within reason."""
    free_wide, free_high = wide - 2 * pen.edge_mm - 2, high - 2 * pen.edge_mm - pen.below_mm - 2
    return min(free_wide / box.width, free_high / box.height, MOST_PX_PER_M)


def _floor(bodies: Sequence[BodyAndProps], view: View) -> list[Flat]:
    """The patch under all poses as seen, m; seen level, its two ends. Nothing where no floor is given."""
    heights = [one.at[2] for _, near in bodies for one in near if one.kind is PropKind.FLOOR]
    low = [place for pose in bodies for place in _places(*pose) if heights and place[2] < heights[0] + LOW_M]
    if not low:
        return []
    xs, ys = [place[0] for place in low], [place[1] for place in low]
    ends = [(min(all_) - MARGIN_M, max(all_) + MARGIN_M) for all_ in (xs, ys)]
    corners = [view.flat((x, y, heights[0])) for x in ends[0] for y in ends[1]]
    return [min(corners), max(corners)] if view.above_deg == 0 else convex(corners)


def _places(body: Skeleton, near: tuple[Prop, ...]) -> list[Point3]:
    """The body's points, and those of what nobody holds."""
    things = [blob.at for one in near if one.to is None for shape in shapes(one) for blob in shape.blobs]
    return [*body.points.values(), *things]


def _svg(content: str, size: tuple[float, float]) -> str:
    wide, high = (num(side) for side in size)
    return tag(
        "svg", content, xmlns="http://www.w3.org/2000/svg", viewBox=f"0 0 {wide} {high}",
        width=f"{wide}pt", height=f"{high}pt", stroke_linejoin="round", stroke_linecap="round",
    )  # fmt: skip


def _over(place: Point3, middle_m: float) -> Point3:
    return (2 * middle_m - place[0], place[1], place[2])


def _other_name(name: str) -> str:
    stem, _, side = name.rpartition("_")
    return f"{stem}_{OTHER[side]}" if side in OTHER else name


STEPS = 4  # pictures from a solved pose to the next; chosen, because a way of 2 s then has one for every frame
OPEN = 6  # films unpacked; chosen, because two pieces of a film show four in turn and each takes some 15 MB
PACKED = 1  # zlib's quickest; a picture that is mostly paper is a fiftieth of its size even so (measured)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Film:
    """A rung's pictures from rest to full depth, drawn with one side working; with `both`, those of the other follow.

    `at_ms` and `picture` are the instants of a repetition. `from_side`: seen from the side.
    """

    sprites: tuple[Sprite, ...]
    side: Side
    both: bool
    turns: bool
    from_side: bool
    at_ms: tuple[int, ...]
    picture: tuple[int, ...]

    def place(self, view: SceneView, at_ms: int) -> tuple[int, bool]:
        """Which sprite, and whether it is turned left for right.

        Face to face people follow as in a mirror, so there the figure's right limb is for their left side; beside it,
        whoever turns the same way has limbs of the same name, and the working one is drawn in front.
        """
        place = round(float(np.interp(view.in_rep_ms(at_ms), self.at_ms, self.picture)))
        side = view.side_at(at_ms)
        works = side if self.from_side else side.other
        if works in (Side.BOTH, self.side):
            return place, False
        return (place + len(self.sprites) // 2, False) if self.both else (place, self.turns)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Key:
    form: Form
    bell: bool
    load: Load | None
    tempo: Tempo


@dataclass(frozen=True, slots=True, kw_only=True)
class _SmallSprite:
    """A sprite's three planes, each deflated, and its sides in pixels."""

    planes: tuple[bytes, bytes, bytes]
    high: int
    wide: int

    @classmethod
    def of(cls, sprite: Sprite) -> "_SmallSprite":
        luma, blue, red = (compress(plane.tobytes(), PACKED) for plane in (sprite.luma, sprite.blue, sprite.red))
        return cls(planes=(luma, blue, red), high=sprite.high, wide=sprite.wide)

    def sprite(self) -> Sprite:
        luma, blue, red = (np.frombuffer(decompress(plane), np.uint8) for plane in self.planes)
        half = (self.high // 2, self.wide // 2)
        return Sprite(luma=luma.reshape(self.high, self.wide), blue=blue.reshape(half), red=red.reshape(half))


class Figures:
    """Films by rung, load and tempo; a rung without a pose has none.

    Each is drawn once and kept packed for the rounds to come. Several threads may ask; whoever needs the same waits.
    """

    def __init__(self, library: Library, cache: Cache | None, stopwatch: Stopwatch, room: layout.Box) -> None:
        """`room`: the part of the picture that they fit into."""
        self._room = room
        self._library, self._cache, self._stopwatch = library, cache, stopwatch
        self._open: dict[_Key, Film | None] = {}
        self._small: dict[_Key, tuple[Film, list[_SmallSprite]] | None] = {}
        self._lock = Lock()

    def film(self, view: SceneView) -> Film | None:
        key = _Key(form=view.rung.form, bell=with_bell(view.rung), load=view.load, tempo=view.tempo)
        with self._lock:
            result = self._open.pop(key) if key in self._open else self._stored_film(key)
            self._open[key] = result  # last, for it is the one shown now
            if len(self._open) > OPEN:
                del self._open[next(iter(self._open))]
        return result

    def _stored_film(self, key: _Key) -> Film | None:
        if key not in self._small:
            new_film = self._make(key)
            small = [_SmallSprite.of(one) for one in new_film.sprites] if new_film else []
            self._small[key] = (replace(new_film, sprites=()), small) if new_film else None
            return new_film
        small_film = self._small[key]
        return replace(small_film[0], sprites=tuple(one.sprite() for one in small_film[1])) if small_film else None

    def _make(self, key: _Key) -> Film | None:
        form = key.form if key.form.tempo == key.tempo else replace(key.form, tempo=key.tempo)
        try:
            with self._stopwatch.on("motion"):
                job = Job(form=form, layer=self._library.pose(form), size=DRAWN, load=key.load)
                motion = motion_with_kit(rung_motion(job, self._cache), bell=key.bell)
        except (Invalid, NoSolution):
            return None
        with self._stopwatch.on("figures"):
            return film(motion, self._room, alternating=form.sides is Sidedness.ALTERNATING)


def film(motion: RungMotion, room: layout.Box, *, alternating: bool) -> Film:
    """All pictures of a motion, that fit into `room`. It is solved with the right limb working.

    Where an alternating rung has a wall at its side, one side is shown for both: the room would jump each time.
    """
    view = VIEWS[motion.seen]
    poses = between(motion.poses, STEPS)
    side = Side.LEFT if hides(poses[-1], view) else Side.RIGHT
    others = [other_side(pose, middle_m(poses[0])) for pose in poses]
    if side is Side.LEFT:
        poses, others = others, poses
    both = alternating and not lopsided(poses[0])
    motions = [poses, others] if both else [poses]
    greys = rasters(PICTURES, list(pictures(motions, view, room.wide, room.high)))
    return Film(
        sprites=tuple(ink_planes(cover_of(grey, DARKEST), "ink") for grey in greys),
        side=side,
        both=both,
        turns=not alternating,
        from_side=motion.seen == "side",
        at_ms=tuple(instant.at_ms for instant in motion.instants),
        picture=tuple(instant.pose * STEPS for instant in motion.instants),
    )
