"""What a drawn figure is made of: a body's named points, and the things it stands on, leans on or holds."""

from collections.abc import Mapping
from difflib import get_close_matches
from enum import StrEnum
from math import isfinite
from types import MappingProxyType

from everyrung.terms.errors import Invalid
from everyrung.terms.frozen import dataclass

Point3 = tuple[float, float, float]  # x, y, z in m: z up, an unturned body faces -y, its left is +x

MIDDLE_POINTS = ("pelvis", "lumbar", "thoracic", "chest_front", "neck", "head", "head_top", "head_back")
LEG_POINTS = ("hip", "knee", "ankle", "heel", "heel_back", "ball_inner", "ball_outer", "toe")
ARM_POINTS = ("shoulder", "shoulder_side", "elbow", "wrist", "grip", "fingertip")
NEEDED_POINTS = MIDDLE_POINTS + tuple(
    f"{name}_{side}" for side in ("left", "right") for name in LEG_POINTS + ARM_POINTS
)
MAX_REACH_M = 20.0  # chosen, because a point farther away is a slip of units


class PropKind(StrEnum):
    """What else is in the picture."""

    BALL = "ball"
    WALL = "wall"
    CHAIR = "chair"
    FLOOR = "floor"
    DUMBBELL = "dumbbell"
    KETTLEBELL = "kettlebell"
    BAND = "band"
    MAT = "mat"
    STEP = "step"


TWO_ENDED = {PropKind.DUMBBELL, PropKind.KETTLEBELL, PropKind.BAND}
LOADS = (PropKind.DUMBBELL, PropKind.KETTLEBELL)


@dataclass(frozen=True, slots=True, kw_only=True)
class Skeleton:
    """One pose as named points in m, and the things that its flesh lies on rather than in. Raises Invalid for a missing
    point or one that is nowhere.
    """

    points: Mapping[str, Point3]
    bearing: tuple["Prop", ...] = ()

    def __post_init__(self) -> None:
        for name in NEEDED_POINTS:
            if name not in self.points:
                near = get_close_matches(name, self.points, n=1)
                raise Invalid("figure points", f"a point {name}", "none", nearest=near[0] if near else "")
        for name, place in self.points.items():
            _check_place(f"figure point {name}", place)
        points = {name: (float(x), float(y), float(z)) for name, (x, y, z) in self.points.items()}
        object.__setattr__(self, "points", MappingProxyType(points))

    def __getitem__(self, name: str) -> Point3:
        return self.points[name]


@dataclass(frozen=True, slots=True, kw_only=True)
class Prop:
    """A thing in the picture. What `at` and `size_m` mean goes with the kind:

    ball: centre, diameter; wall: a point of its foot, height; chair: the floor under the seat's middle, seat height;
    floor: any point of it, size unused; mat: its middle, length; step: the floor under its middle, height;
    dumbbell: from one end `at` to the other `to`, size is the heads' diameter; kettlebell: from the grip
    `at` to the bell's middle `to`, size is its diameter; band: from `at` to `to`, its breadth.
    `turn_deg` turns chair, wall, mat and step to the left from facing -y. Raises Invalid.
    """

    kind: PropKind
    at: Point3
    size_m: float
    to: Point3 | None = None
    turn_deg: float = 0.0

    def __post_init__(self) -> None:
        _check_place(f"{self.kind} place", self.at)
        if not 0 < self.size_m <= MAX_REACH_M:
            raise Invalid(f"{self.kind} size", f"more than 0 and at most {MAX_REACH_M:g} m", self.size_m)
        if not isfinite(self.turn_deg):
            raise Invalid(f"{self.kind} turn", "degrees", self.turn_deg)
        if (self.kind in TWO_ENDED) != (self.to is not None):
            raise Invalid(f"{self.kind} end", "two ends for a load or a band, one place for others", self.to)
        if self.to is not None:
            _check_place(f"{self.kind} end", self.to)


def _check_place(field: str, place: Point3) -> None:
    if len(place) != 3 or not all(isfinite(part) and abs(part) <= MAX_REACH_M for part in place):
        raise Invalid(field, f"three coordinates within {MAX_REACH_M:g} m", tuple(place))
