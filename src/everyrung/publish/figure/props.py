"""Ball, wall, chair, step, mat, loads and bands as faces and rods in the room, and the floor under a figure."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, radians, sin

from everyrung.publish.figure.geometry import Blob, Flat, View, between, blob, convex, cross, plus, square_to, unit, way
from everyrung.terms.figure import Point3, Prop, PropKind, Skeleton

HEAD_M = 0.09  # chosen, because heads of middling dumbbells are about so thick
HANDLE_M = 0.24  # chosen, because middling dumbbells are about so long from middle of head to middle of head
HANDLE_HALF_M = 0.02  # chosen, because kettlebells' handles are some 35 mm thick
WALL_HALF_M, MAT_HALF_M, STEP_HALF_M = 0.6, 0.30, (0.36, 0.18)  # chosen for the look; a picture states no breadth
WALL_HATCH_M = 0.12  # chosen by eye
SEAT_HALF_M, BACKREST_M, LEG_M = 0.20, 0.42, 0.012  # chosen, because most side chairs are about so


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """One outline of a prop; `solid` is filled with ink, others with paper."""

    blobs: tuple[Blob, ...]
    solid: bool = False


def held_dumbbell(body: Skeleton, side: str) -> Prop:
    """A dumbbell in the fist: its handle lies across the palm."""
    wrist, grip, tip = (body[f"{name}_{side}"] for name in ("wrist", "grip", "fingertip"))
    along = unit(way(wrist, tip))
    across = unit(cross(along, square_to(way(wrist, grip), along)))
    ends = [plus(grip, across, times * HANDLE_M / 2) for times in (-1.0, 1.0)]
    return Prop(kind=PropKind.DUMBBELL, at=ends[0], to=ends[1], size_m=HEAD_M)


def shapes(prop: Prop) -> list[Shape]:
    """What to draw, far things first where it matters. A floor has no shape: it is a line of the picture."""
    match prop.kind:
        case PropKind.BALL:
            return [Shape(blobs=(blob(prop.at, prop.size_m / 2),))]
        case PropKind.DUMBBELL:
            return _dumbbell(prop)
        case PropKind.KETTLEBELL:
            return _kettlebell(prop)
        case PropKind.BAND:
            ends = (blob(prop.at, prop.size_m / 4), blob(prop.to or prop.at, prop.size_m / 4))
            return [Shape(blobs=ends, solid=True)]
        case PropKind.CHAIR:
            return _chair(prop)
        case PropKind.WALL:
            return _wall(prop)
        case PropKind.MAT:
            half = prop.size_m / 2
            return [_slab(prop, (-MAT_HALF_M, MAT_HALF_M), (-half, half), (-0.012, -0.004))]
        case PropKind.STEP:
            across, deep = STEP_HALF_M
            return _block(prop, (-across, across), (-deep, deep), (0.0, prop.size_m))
        case PropKind.FLOOR:
            return []


def _dumbbell(prop: Prop) -> list[Shape]:
    one, other = prop.at, prop.to or prop.at
    thick = prop.size_m / 2
    heads = [
        Shape(blobs=(blob(end, thick), blob(between(end, other if end is one else one, 0.14), thick)))
        for end in (one, other)
    ]
    return [Shape(blobs=(blob(one, thick * 0.28), blob(other, thick * 0.28)), solid=True), *heads]


def _kettlebell(prop: Prop) -> list[Shape]:
    """The bell, and its handle up to the hand."""
    grip, bell = prop.at, prop.to or prop.at
    handle = Shape(blobs=(blob(grip, HANDLE_HALF_M), blob(between(grip, bell, 0.5), prop.size_m * 0.3)), solid=True)
    return [handle, Shape(blobs=(blob(bell, prop.size_m / 2),))]


def _corner(prop: Prop, left: float, back: float, up: float) -> Point3:
    """A corner of a thing turned `turn_deg` to the left, from its own left, back and up."""
    turn = radians(prop.turn_deg)
    across, along = left * cos(turn) - back * sin(turn), left * sin(turn) + back * cos(turn)
    return plus(prop.at, (across, along, up))


def _slab(
    prop: Prop, left: tuple[float, float], back: tuple[float, float], up: tuple[float, float], thick_m: float = 0.004
) -> Shape:
    corners = [blob(_corner(prop, x, y, z), thick_m) for x in left for y in back for z in up]
    return Shape(blobs=tuple(corners))


def _block(prop: Prop, left: tuple[float, float], back: tuple[float, float], up: tuple[float, float]) -> list[Shape]:
    """A box: its whole outline, then its top over it, which shows the edge when seen from above."""
    return [_slab(prop, left, back, up), _slab(prop, left, back, (up[1], up[1]))]


def _wall(prop: Prop) -> list[Shape]:
    """A face, and behind it the hatch of something solid, seen when the wall is edge-on."""
    count = round(prop.size_m / WALL_HATCH_M)
    hatch = []
    for at in range(1, count + 1):
        ends = ((0.0, at * prop.size_m / count), (WALL_HATCH_M / 1.6, at * prop.size_m / count - WALL_HATCH_M / 1.6))
        hatch.append(Shape(blobs=tuple(blob(_corner(prop, 0.0, y, z), 0.003) for y, z in ends), solid=True))
    return [*hatch, _slab(prop, (-WALL_HALF_M, WALL_HALF_M), (0.0, 0.0), (0.0, prop.size_m))]


def _chair(prop: Prop) -> list[Shape]:
    """Four legs, a seat and a back; the sitter faces -y of the chair."""
    half, seat = SEAT_HALF_M, prop.size_m
    legs = [
        Shape(
            blobs=(
                blob(_corner(prop, x, y, 0.012), LEG_M * 0.8),
                blob(_corner(prop, x * 0.92, y * 0.92, seat - 0.03), LEG_M),
            ),
            solid=True,
        )
        for y in (half, -half)
        for x in (half, -half)
    ]
    board = _slab(prop, (-half, half), (-half, half), (seat - 0.04, seat - 0.012), 0.012)
    rest = _slab(prop, (-half, half), (half, half + 0.03), (seat - 0.02, seat + BACKREST_M), 0.012)
    return [*legs, rest, board]


LOW_M = 0.25  # chosen, because what is lower casts its place on the floor
MARGIN_M = 0.10  # chosen by eye


def floor_corners(body: Skeleton, props: Sequence[Prop], view: View) -> list[Flat]:
    """The patch of floor under body and props as seen, m: two ends when seen level; nothing when no floor is given."""
    floors = [prop.at[2] for prop in props if prop.kind is PropKind.FLOOR]
    if not floors:
        return []
    height = floors[0]
    low = [place for place in _places(body, props) if place[2] < height + LOW_M] or [body["pelvis"]]
    xs, ys = [place[0] for place in low], [place[1] for place in low]
    corners = [
        view.flat((x, y, height))
        for x in (min(xs) - MARGIN_M, max(xs) + MARGIN_M)
        for y in (min(ys) - MARGIN_M, max(ys) + MARGIN_M)
    ]
    if view.above_deg == 0:
        return [min(corners), max(corners)]
    return convex(corners)


def _places(body: Skeleton, props: Sequence[Prop]) -> list[Point3]:
    things = [blob.at for prop in props if prop.to is None for shape in shapes(prop) for blob in shape.blobs]
    return [*body.points.values(), *things]


def behind_step(body: Skeleton, limb: str, props: Sequence[Prop], view: View) -> bool:
    """Whether this leg stands on the floor behind a step."""
    part, side = limb.split("_")
    if part != "leg":
        return False
    toe, ankle = body[f"toe_{side}"], body[f"ankle_{side}"]
    return any(
        prop.kind is PropKind.STEP and toe[2] < prop.at[2] + prop.size_m / 2 and view.depth(ankle) > view.depth(prop.at)
        for prop in props
    )
