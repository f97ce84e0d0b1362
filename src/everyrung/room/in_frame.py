"""What a camera has of the leader in each rung: figure, hands and kit within its picture, and what stands before them.

The lens is a pinhole with a picture of 16 to 9, as film is; the camera is tilted to half the leader's height at the
place that it looks toward. The leader faces it where the class sees a film, else the class.
"""

from collections.abc import Iterator, Mapping
from math import atan2, degrees, radians, tan

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import LineString, Polygon

from everyrung.checks.cells import and_list
from everyrung.room.capacity import RoomUse
from everyrung.room.figure_view import PARTS, FigureView
from everyrung.terms.brief import Brief
from everyrung.terms.enums import View
from everyrung.terms.finding import name_list
from everyrung.terms.frozen import dataclass
from everyrung.terms.room import Camera, Point

SHAPE = 9 / 16  # of a picture's height to its width: ITU-R BT.709
BEFORE_M = 0.25  # half of what a person hides; chosen, because shoulders are about half a metre wide
MOSTLY = 0.5  # of a part's points through a repetition; chosen, because what is seen half of the time is followed
FILMED = (View.FILMED, View.FILMED_FLIPPED)
Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class RungFrame(Brief):
    """One rung before the camera: the parts that leave the picture at some moment, those that are hidden for most of a
    repetition and by whom, and the angle from side to side that would hold all of it, degrees.
    """

    address: str
    name: str
    out: tuple[str, ...]
    hides: tuple[str, ...]
    places: tuple[int, ...]
    pillars: int
    angle_deg: float


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Frame(Brief):
    """What a camera sees of the leader: how far off its line, and every rung that is led."""

    leader_in: bool
    leader_off_deg: float
    rungs: tuple[RungFrame, ...]

    @property
    def pillars_before(self) -> int:
        """How many pillars hide something of some rung."""
        return max((each.pillars for each in self.rungs), default=0)

    @property
    def places_before(self) -> tuple[int, ...]:
        """Whose backs hide something of some rung, by the number of the place."""
        return tuple(sorted({place for each in self.rungs for place in each.places}))

    @property
    def angle_deg(self) -> float:
        """The angle that would hold every rung whole."""
        return max((each.angle_deg for each in self.rungs), default=0.0)


def leader_way(use: RoomUse) -> Point:
    """The way the leader faces on the floor, of length 1: to the camera, to the class's middle, or away from it."""
    room, view = use.room, use.session.view
    places = use.layout.places or (room.leader,)
    middle = tuple(sum(each[axis] for each in places) / len(places) for axis in (0, 1))
    target = room.camera.at if room.camera and view in FILMED else middle
    x, y = target[0] - room.leader[0], target[1] - room.leader[1]
    far = (x * x + y * y) ** 0.5 or 1.0
    sign = -1 if view is View.BACK_TURNED else 1
    return sign * x / far, sign * y / far


def in_room(at: Points, place: Point, way: Point) -> Points:
    """Points of a figure (n x 3: right, front, up) where it stands in the room, facing a way."""
    right, front = np.array([way[1], -way[0], 0.0]), np.array([way[0], way[1], 0.0])
    spots: Points = at[:, :1] * right + at[:, 1:2] * front + at[:, 2:] * np.array([0.0, 0.0, 1.0])
    there: Points = spots + np.array([*place, 0.0])
    return there


def frame(use: RoomUse) -> Frame | None:
    """What the room's camera has of each rung that is led; None without a camera."""
    camera = use.room.camera
    if camera is None:
        return None
    off_deg = abs((_way_deg(camera.at, use.room.leader) - _way_deg(camera.at, camera.toward) + 180) % 360 - 180)
    addresses = dict.fromkeys(cell.rung.address for cell in use.session.cells)
    return Frame(
        leader_in=off_deg <= camera.angle_deg / 2,
        leader_off_deg=off_deg,
        rungs=tuple(_rung(use, camera, each) for each in addresses if each in use.envelopes),
    )


def _way_deg(start: Point, end: Point) -> float:
    return degrees(atan2(end[1] - start[1], end[0] - start[0]))


def _rung(use: RoomUse, camera: Camera, address: str) -> RungFrame:
    one = use.envelopes[address]
    names, at = points_of(one.view)
    spots = in_room(at, use.room.leader, leader_way(use))
    across, up, depth = _through(camera, use.body.stature_m / 2, spots)
    wide = tan(radians(camera.angle_deg / 2))
    is_out = (depth <= 0) | (np.abs(across) > wide) | (np.abs(up) > wide * SHAPE)
    by_place = _behind_people(use, camera, spots, one.height_m)
    by_pillar = [_behind_pillar(camera, spots, Polygon(each.corners)) for each in use.room.pillars]
    is_behind = np.any([*by_place.values(), *by_pillar, np.zeros(len(spots), bool)], axis=0)
    hides = tuple(part for part in PARTS if (names == part).any() and is_behind[names == part].mean() > MOSTLY)
    of_those = np.isin(names, hides)
    widest = max(float(np.abs(across).max()), float(np.abs(up).max()) / SHAPE)
    return RungFrame(
        address=address,
        name=one.name,
        out=tuple(part for part in PARTS if is_out[names == part].any()),
        hides=hides,
        places=tuple(number for number, each in by_place.items() if (each & of_those).any()),
        pillars=sum(bool((each & of_those).any()) for each in by_pillar),
        angle_deg=180.0 if (depth <= 0).any() else 2 * degrees(np.arctan(widest)),
    )


def points_of(one: FigureView) -> tuple[NDArray[np.str_], Points]:
    """All points of a rung through a repetition: the part of each, and where it is (n x 3)."""
    every = [each for pose in one.poses for each in pose]
    return np.array([part for part, _ in every]), np.array([at for _, at in every])


def _through(camera: Camera, aim_m: float, spots: Points) -> tuple[Points, Points, Points]:
    """Where points come in the picture: across and up from its middle at a depth of 1, and how deep they lie, m."""
    eye = np.array([*camera.at, camera.height_m])
    ahead = np.array([*camera.toward, aim_m]) - eye
    ahead /= np.linalg.norm(ahead)
    right = np.cross(ahead, [0.0, 0.0, 1.0])
    right /= np.linalg.norm(right)
    away = spots - eye
    depth = away @ ahead
    safe = np.where(depth > 0, depth, np.nan)
    return (
        np.nan_to_num(away @ right / safe, nan=np.inf),
        np.nan_to_num(away @ np.cross(right, ahead) / safe, nan=np.inf),
        depth,
    )


def _behind_people(use: RoomUse, camera: Camera, spots: Points, height_m: float) -> dict[int, NDArray[np.bool_]]:
    """By place, which points its person hides, who does the same rung there: no higher than that is."""
    eye, line = np.array(camera.at), spots[:, :2] - np.array(camera.at)
    length2 = np.maximum((line**2).sum(axis=1), 1e-9)
    result = {}
    for number, at in enumerate(use.layout.places, start=1):
        along = ((np.array(at) - eye) @ line.T) / length2  # 0 at the lens, 1 at the point
        beside = np.linalg.norm(eye + along[:, None] * line - np.array(at), axis=1)
        level_m = camera.height_m + along * (spots[:, 2] - camera.height_m)
        result[number] = (along > 0) & (along < 1) & (beside < BEFORE_M) & (level_m < height_m)
    return {number: each for number, each in result.items() if each.any()}


def _behind_pillar(camera: Camera, spots: Points, pillar: Polygon) -> NDArray[np.bool_]:
    return np.array([pillar.intersects(LineString([camera.at, (x, y)])) for x, y in spots[:, :2]])


def out_words(one: Frame) -> Iterator[str]:
    """'hands and kit in Ball overhead lift; ...' for what leaves the picture, by the parts that do."""
    return _by_parts({each.name: each.out for each in one.rungs if each.out})


def behind_words(one: Frame) -> Iterator[str]:
    """The same for what is hidden for most of a repetition."""
    return _by_parts({each.name: each.hides for each in one.rungs if each.hides})


def _by_parts(parts: Mapping[str, tuple[str, ...]]) -> Iterator[str]:
    for which in dict.fromkeys(parts.values()):
        yield f"{and_list(which)} in {name_list((name for name, each in parts.items() if each == which), '; ')}"
