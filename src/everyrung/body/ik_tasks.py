"""What a pose asks for: each task is a few numbers that are zero when it is met, and their slopes.

Lengths are divided by METRE so that ten centimetres off and twenty degrees off weigh about the same.
"""

from dataclasses import dataclass
from typing import Protocol

import numpy as np

from everyrung.body.configuration import Configuration, freedom
from everyrung.body.contacts import HeldLoad, centre_with
from everyrung.body.coordinates import ROOT, ROOT_FREEDOMS, Array

METRE = 0.3  # chosen, because 10 cm at a hand then counts like 20 degrees at a joint
Vector3 = tuple[float, float, float]


class Task(Protocol):
    """Anything a pose may ask for. `words` names it; `weight` is how much it counts against the others."""

    @property
    def weight(self) -> float: ...

    @property
    def words(self) -> str: ...

    def rows(self, configuration: Configuration) -> tuple[Array, Array]:
        """Residuals (unweighted) and their Jacobian by independent velocities."""
        ...

    def misfit(self, configuration: Configuration) -> tuple[float, str]:
        """How far off it is, with the unit: 'mm' or 'deg'."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class AngleTask:
    """One coordinate (coordinates.py) at an angle in radians."""

    name: str
    angle_rad: float
    weight: float = 1.0

    @property
    def words(self) -> str:
        return f"{self.name} at {np.degrees(self.angle_rad):.0f} degrees"

    def rows(self, configuration: Configuration) -> tuple[Array, Array]:
        at = freedom(self.name)
        jacobian = np.zeros((1, configuration.coupling_jacobian.shape[1]))
        jacobian[0, at] = 1.0
        return np.array([configuration.q_ind[at + ROOT - ROOT_FREEDOMS] - self.angle_rad]), jacobian

    def misfit(self, configuration: Configuration) -> tuple[float, str]:
        return float(np.degrees(abs(self.rows(configuration)[0][0]))), "deg"


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaneTask:
    """A landmark on a plane: `normal` is a unit vector, `offset_m` how far the plane lies along it."""

    point: str
    normal: Vector3
    offset_m: float = 0.0
    weight: float = 1.0

    @property
    def words(self) -> str:
        return f"{self.point} on its plane"

    def rows(self, configuration: Configuration) -> tuple[Array, Array]:
        normal = np.array(self.normal)
        off = normal @ configuration.point(self.point) - self.offset_m
        return np.array([off / METRE]), (normal @ configuration.point_jacobian(self.point))[None, :] / METRE

    def misfit(self, configuration: Configuration) -> tuple[float, str]:
        return float(abs(self.rows(configuration)[0][0])) * METRE * 1000, "mm"


@dataclass(frozen=True, slots=True, kw_only=True)
class PointTask:
    """A landmark at a place, m; an axis that is None is left free."""

    point: str
    place_m: tuple[float | None, float | None, float | None]
    weight: float = 1.0

    @property
    def words(self) -> str:
        return f"{self.point} at its place"

    def rows(self, configuration: Configuration) -> tuple[Array, Array]:
        held = [axis for axis, value in enumerate(self.place_m) if value is not None]
        wanted = np.array([value for value in self.place_m if value is not None])
        off = configuration.point(self.point)[held] - wanted
        return off / METRE, configuration.point_jacobian(self.point)[held] / METRE

    def misfit(self, configuration: Configuration) -> tuple[float, str]:
        return float(np.linalg.norm(self.rows(configuration)[0])) * METRE * 1000, "mm"


@dataclass(frozen=True, slots=True, kw_only=True)
class OffsetTask:
    """One landmark from another along a direction: `(end - start) . along = distance_m`."""

    start: str
    end: str
    along: Vector3
    distance_m: float
    weight: float = 1.0

    @property
    def words(self) -> str:
        return f"{self.end} {self.distance_m * 100:.0f} cm from {self.start}"

    def rows(self, configuration: Configuration) -> tuple[Array, Array]:
        along = np.array(self.along)
        off = along @ (configuration.point(self.end) - configuration.point(self.start)) - self.distance_m
        slope = along @ (configuration.point_jacobian(self.end) - configuration.point_jacobian(self.start))
        return np.array([off / METRE]), slope[None, :] / METRE

    def misfit(self, configuration: Configuration) -> tuple[float, str]:
        return float(abs(self.rows(configuration)[0][0])) * METRE * 1000, "mm"


@dataclass(frozen=True, slots=True, kw_only=True)
class DirectionTask:
    """The line from one landmark to another points in a direction (a unit vector)."""

    start: str
    end: str
    direction: Vector3
    weight: float = 1.0

    @property
    def words(self) -> str:
        return f"{self.start} to {self.end} in its direction"

    def rows(self, configuration: Configuration) -> tuple[Array, Array]:
        line = configuration.point(self.end) - configuration.point(self.start)
        length = float(np.linalg.norm(line))
        unit = line / length
        slope = configuration.point_jacobian(self.end) - configuration.point_jacobian(self.start)
        return unit - np.array(self.direction), (np.eye(3) - np.outer(unit, unit)) @ slope / length

    def misfit(self, configuration: Configuration) -> tuple[float, str]:
        return _between(self.rows(configuration)[0] + np.array(self.direction), self.direction), "deg"


@dataclass(frozen=True, slots=True, kw_only=True)
class BalanceTask:
    """The centre of mass of body and load stands over the middle of some landmarks, each with its share."""

    shares: tuple[tuple[str, float], ...]
    held: tuple[HeldLoad, ...] = ()
    weight: float = 1.0

    @property
    def words(self) -> str:
        return "balance over " + ", ".join(name for name, _ in self.shares)

    def rows(self, configuration: Configuration) -> tuple[Array, Array]:
        total = sum(share for _, share in self.shares)
        middle = sum((configuration.point(name) * share / total for name, share in self.shares), np.zeros(3))
        moves = [configuration.point_jacobian(name) * share / total for name, share in self.shares]
        centre, slope = centre_with(configuration, self.held)
        return (centre - middle)[:2] / METRE, (slope - sum(moves, np.zeros_like(moves[0])))[:2] / METRE

    def misfit(self, configuration: Configuration) -> tuple[float, str]:
        return float(np.linalg.norm(self.rows(configuration)[0])) * METRE * 1000, "mm"


def _cross(v: Array) -> Array:
    """The matrix that takes w to v x w."""
    return np.array([[0.0, -v[2], v[1]], [v[2], 0.0, -v[0]], [-v[1], v[0], 0.0]])


def _between(one: Array, other: Vector3) -> float:
    """The angle between two unit vectors, degrees."""
    return float(np.degrees(np.arctan2(np.linalg.norm(np.cross(one, other)), np.dot(one, other))))
