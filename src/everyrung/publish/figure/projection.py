"""From metres in the room to the flat picture: seen from afar, so that near and far are drawn equally large."""

from collections.abc import Iterable
from dataclasses import dataclass
from math import cos, radians, sin

from everyrung.publish.figure.vectors import cross, dot
from everyrung.terms.figure import Point3

Flat = tuple[float, float]  # right, down


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """Where one looks from: 0 degrees from the body's right (it faces right in the picture), 90 from its front.

    `above_deg` is how far one looks down.
    """

    azimuth_deg: float
    above_deg: float = 0.0

    @property
    def toward(self) -> Point3:
        """The direction from the body to the eye."""
        round_rad, above = radians(self.azimuth_deg), radians(self.above_deg)
        return (-cos(round_rad) * cos(above), -sin(round_rad) * cos(above), sin(above))

    @property
    def right(self) -> Point3:
        round_rad = radians(self.azimuth_deg)
        return (sin(round_rad), -cos(round_rad), 0.0)

    @property
    def up(self) -> Point3:
        return cross(self.toward, self.right)

    def flat(self, place: Point3) -> Flat:
        """Where the place is in the picture, m: to the right, and down."""
        return (dot(place, self.right), -dot(place, self.up))

    def depth(self, place: Point3) -> float:
        """How far away the place is along the floor, m; larger is farther. Height does not make a knee farther."""
        round_rad = radians(self.azimuth_deg)
        return place[0] * cos(round_rad) + place[1] * sin(round_rad)


SIDE = View(azimuth_deg=0.0)
FRONT = View(azimuth_deg=90.0)
THREE_QUARTER = View(azimuth_deg=40.0, above_deg=12.0)  # chosen, because face, chest and bent knees all show


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A rectangle of the flat picture, m."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def height(self) -> float:
        return self.bottom - self.top


def box_round(flats: Iterable[Flat]) -> Box:
    """The smallest box round the points, of which there must be one."""
    across, down = zip(*flats, strict=True)
    return Box(left=min(across), top=min(down), right=max(across), bottom=max(down))


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """How the flat picture lies on paper: mm of paper for a metre, and where its origin is."""

    mm_per_m: float
    x_mm: float
    y_mm: float

    def on(self, flat: Flat) -> Flat:
        return (self.x_mm + flat[0] * self.mm_per_m, self.y_mm + flat[1] * self.mm_per_m)
