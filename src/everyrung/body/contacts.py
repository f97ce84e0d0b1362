"""What a body leans on and what it holds: supports as rays of force, held loads as masses."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cache
from math import hypot, isfinite

import mujoco
import numpy as np

from everyrung.body.configuration import Configuration
from everyrung.body.coordinates import Array, Vector3
from everyrung.terms.errors import Invalid

UP: Vector3 = (0.0, 0.0, 1.0)
UNIT_WITHIN = 1e-6  # chosen, because a normal written with six digits is meant as a unit vector


class Kind(StrEnum):
    """What a support is; it decides the friction."""

    FLOOR = "floor"
    SLIDER = "slider"
    WALL = "wall"
    CHAIR = "chair"
    BALL_AT_WALL = "ball at the wall"
    BALL_UNDER_HEEL = "ball under the heel"


# Greatest tangential force over normal force. Two-force members: a ball passes on only what lies along the line
# through both its contacts, so what holds it at the wall pushes level, and under a heel straight up.
FRICTION = {
    Kind.FLOOR: 0.6,  # chosen, because shoes on a dry sports floor slip somewhat later
    Kind.SLIDER: 0.2,  # chosen, because felt on a smooth floor gives way to a light push
    Kind.WALL: 0.4,  # chosen, because clothes on paint slip sooner than soles on the floor
    Kind.CHAIR: 0.4,  # chosen, as the wall
    Kind.BALL_AT_WALL: 0.12,  # chosen, because a soft ball gives a little before it rolls
    Kind.BALL_UNDER_HEEL: 0.0,  # a rolling ball, see above
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Contact:
    """Landmarks that bear on one support. `normal` is a unit vector in world axes, from the support into the body.

    `share` declares how much of the weight of body and load this support takes along its normal; None leaves it open.
    Raises Invalid for no points, a normal that is not of unit length, or a friction below zero.
    """

    name: str
    points: tuple[str, ...]
    kind: Kind
    normal: Vector3
    friction: float
    share: float | None = None

    def __post_init__(self) -> None:
        if not self.points:
            raise Invalid(f"contact {self.name}: points", "at least one landmark", "none")
        if abs(hypot(*self.normal) - 1.0) > UNIT_WITHIN:
            raise Invalid(f"contact {self.name}: normal", "a vector of length 1", self.normal)
        if self.friction < 0:
            raise Invalid(f"contact {self.name}: friction", "0 or more", self.friction)

    def taking(self, share: float) -> "Contact":
        """The same contact with a declared share of the weight."""
        return replace(self, share=share)

    def rays(self) -> Array:
        """Directions a point's force may be made of (axes: ray, xyz): the normal, then four on the edges of the cone.

        Every mix of them with amounts of at least zero keeps within the friction; an edge's normal part is 1. Without
        friction there is the normal alone.

        >>> contact("heel", ("heel_left",), Kind.BALL_UNDER_HEEL).rays().tolist()
        [[0.0, 0.0, 1.0]]
        >>> sole("left").rays().shape
        (5, 3)
        """
        return _rays(self.normal, self.friction)


@cache
def _rays(normal: Vector3, friction: float) -> Array:
    way = np.array(normal)
    if friction == 0:
        return way[None, :]
    across = np.cross(way, np.eye(3)[np.argmin(np.abs(way))])
    across /= np.linalg.norm(across)
    along = np.cross(way, across)
    rays = np.array([way, *(way + friction * side for side in (across, -across, along, -along))])
    rays.flags.writeable = False  # it is handed out again
    return rays


@cache
def contact(name: str, points: tuple[str, ...], kind: Kind, normal: Vector3 = UP) -> Contact:
    """A contact with the usual friction of its kind. Raises Invalid as `Contact` does."""
    return Contact(name=name, points=points, kind=kind, normal=normal, friction=FRICTION[kind])


def sole(side: str) -> Contact:
    """A foot flat on the floor: heel and both edges of the ball."""
    points = tuple(f"{part}_{side}" for part in ("heel", "ball_inner", "ball_outer"))
    return contact(f"foot {side}", points, Kind.FLOOR)


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldLoad:
    """A load, kg, that hangs from landmarks, shared evenly among them. Raises Invalid for less than 0 kg, or no
    landmark.
    """

    mass_kg: float
    points: tuple[str, ...]

    def __post_init__(self) -> None:
        if not (isfinite(self.mass_kg) and self.mass_kg >= 0):
            raise Invalid("held load: mass", "0 kg or more", f"{self.mass_kg:g} kg")
        if not self.points:
            raise Invalid("held load: points", "at least one landmark", "none")


@dataclass(frozen=True, slots=True, kw_only=True)
class Pull:
    """Something between two landmarks that pulls them together, N; below zero it presses them apart, as a ball does.
    With a `way` (a unit vector) its other end is fast in the room, and `end` is the landmark that it pulls, again.
    """

    start: str
    end: str
    newtons: float
    way: Vector3 | None = None

    def forces(self, configuration: Configuration) -> Array:
        """Generalised forces of both ends, N and N m (axis: the model's own velocities). Raises Invalid for an unknown
        landmark, and for two at one place.
        """
        if self.way is not None:
            force: Array = self.newtons * np.array(self.way) @ reach(configuration, self.start)
            return force
        way = configuration.point(self.end) - configuration.point(self.start)
        length = float(np.linalg.norm(way))
        if length == 0:
            raise Invalid(f"pull from {self.start}", "two places apart", f"both at {self.end}")
        apart: Array = self.newtons * way / length @ (reach(configuration, self.start) - reach(configuration, self.end))
        return apart


def centre_with(configuration: Configuration, loads: Sequence[HeldLoad]) -> tuple[Array, Array]:
    """Centre of mass of body and load, m (axis: xyz), and its Jacobian, m per m or rad (axes: xyz, freedom). Raises
    KeyError for an unknown landmark.
    """
    mass = configuration.body.mass_kg
    place, slope = mass * configuration.centre_of_mass(), mass * configuration.centre_of_mass_jacobian()
    for load in loads:
        for point in load.points:
            part = load.mass_kg / len(load.points)
            place, slope = place + part * configuration.point(point), slope + part * configuration.point_jacobian(point)
            mass += part
    return place / mass, slope / mass


def reach(configuration: Configuration, point: str) -> Array:
    """How a landmark moves with the model's own velocities, before the couplings, m per m or rad (axes: xyz, velocity).
    Raises Invalid for an unknown point.
    """
    sites = configuration.body.landmarks
    if point not in sites:
        raise Invalid("landmark", "one of " + ", ".join(sorted(sites)), point)
    full = np.zeros((3, configuration.body.mj_model.nv))
    mujoco.mj_jacSite(configuration.body.mj_model, configuration.data, full, None, sites[point])
    return full
