"""What a pose asks for: each task is a few numbers that are zero when it is met (pose_search.py).

Lengths are divided by METRE so that ten centimetres off and twenty degrees off weigh about the same.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import atan2, degrees, hypot
from typing import NamedTuple, Protocol

import numpy as np

from everyrung.body.configuration import freedom
from everyrung.body.contacts import HeldLoad
from everyrung.body.coordinates import ROOT_FREEDOMS, Array
from everyrung.body.kinematic_tree import Integers
from everyrung.body.model import BodyModel

METRE = 0.3  # chosen, because 10 cm at a hand then counts like 20 degrees at a joint
Vector3 = tuple[float, float, float]
Entry = tuple[str, float, float, float]  # a landmark (CENTRE: the body's centre of mass) and its coefficients by axis
CENTRE = "centre of mass"
AXES: tuple[Vector3, ...] = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


class TaskRows(NamedTuple):
    """What a pose asks for. Axes: row, entry (of a row), line (between two points), angle; xyz.

    A row is the sum of coefficient . point over its entries (`begins[row]` to the next) less a constant, lengths in
    METRE; the point behind the last is the whole body's centre of mass. A line from `start` to `end` is to point in a
    direction (a unit vector). An angle is that of a coordinate, rad.
    """

    begins: Integers
    point: Integers
    coefficient: Array
    constant: Array
    weight: Array
    start: Integers
    end: Integers
    direction: Array
    line_weight: Array
    coordinate: Integers
    angle_rad: Array
    angle_weight: Array


class Task(Protocol):
    """Anything a pose may ask for. `words` names it; `weight` is how much it counts against the others."""

    @property
    def weight(self) -> float: ...

    @property
    def words(self) -> str: ...

    def add_to(self, rows: "Rows") -> "Numbers":
        """Adds its rows, and says which numbers are its own. Raises Invalid for a point that no body has."""
        ...

    def misfit(self, off: Array) -> tuple[float, str]:
        """How far off it is by its numbers, with the unit: 'mm' or 'deg'."""
        ...


Numbers = tuple[str, int, int]  # of a task: "row", "line" or "angle", the first, how many


@dataclass(slots=True)
class Rows:
    """The rows of a pose as they are gathered, task by task."""

    body: BodyModel
    points: list[int] = field(default_factory=list)
    coefficients: list[Vector3] = field(default_factory=list)
    begins: list[int] = field(default_factory=lambda: [0])
    constants: list[float] = field(default_factory=list)
    row_weights: list[float] = field(default_factory=list)
    lines: list[tuple[int, int]] = field(default_factory=list)
    directions: list[Vector3] = field(default_factory=list)
    line_weights: list[float] = field(default_factory=list)
    angles: list[tuple[int, float, float]] = field(default_factory=list)

    def row(self, entries: Sequence[Entry], constant_m: float, weight: float) -> None:
        """A sum over points, less a constant."""
        for point, x, y, z in entries:
            self.points.append(self.place(point))
            self.coefficients.append((x / METRE, y / METRE, z / METRE))
        self.begins.append(len(self.points))
        self.constants.append(constant_m / METRE)
        self.row_weights.append(weight)

    def place(self, point: str) -> int:
        """The place of a landmark among the body's, behind them that of the centre of mass."""
        return len(self.body.places) if point == CENTRE else self.body.places[point]

    def since(self, rows: int) -> Numbers:
        return "row", rows, len(self.row_weights) - rows

    def arrays(self) -> TaskRows:
        """All of it as arrays."""
        lines = np.array(self.lines, dtype=np.int64).reshape(-1, 2)
        return TaskRows(
            begins=np.array(self.begins, dtype=np.int64),
            point=np.array(self.points, dtype=np.int64),
            coefficient=np.array(self.coefficients, dtype=float).reshape(-1, 3),
            constant=np.array(self.constants, dtype=float),
            weight=np.array(self.row_weights, dtype=float),
            start=lines[:, 0].copy(),
            end=lines[:, 1].copy(),
            direction=np.array(self.directions, dtype=float).reshape(-1, 3),
            line_weight=np.array(self.line_weights, dtype=float),
            coordinate=np.array([at for at, _, _ in self.angles], dtype=np.int64),
            angle_rad=np.array([angle for _, angle, _ in self.angles], dtype=float),
            angle_weight=np.array([weight for _, _, weight in self.angles], dtype=float),
        )

    def first_of(self, numbers: Numbers) -> slice:
        """Where a task's numbers are among the residuals: rows, then three a line, then angles."""
        kind, first, count = numbers
        if kind == "row":
            return slice(first, first + count)
        if kind == "line":
            start = len(self.row_weights) + 3 * first
            return slice(start, start + 3 * count)
        start = len(self.row_weights) + 3 * len(self.line_weights) + first
        return slice(start, start + count)


def far_mm(off: Array) -> tuple[float, str]:
    return float(np.sqrt(off @ off)) * METRE * 1000, "mm"


@dataclass(frozen=True, slots=True, kw_only=True)
class AngleTask:
    """One coordinate (coordinates.py) at an angle in radians."""

    name: str
    angle_rad: float
    weight: float = 1.0

    @property
    def words(self) -> str:
        return f"{self.name} at {np.degrees(self.angle_rad):.0f} degrees"

    def add_to(self, rows: Rows) -> Numbers:
        rows.angles.append((freedom(self.name) - ROOT_FREEDOMS, self.angle_rad, self.weight))
        return "angle", len(rows.angles) - 1, 1

    def misfit(self, off: Array) -> tuple[float, str]:
        return float(np.degrees(abs(off[0]))), "deg"


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

    def add_to(self, rows: Rows) -> Numbers:
        rows.row([(self.point, *self.normal)], self.offset_m, self.weight)
        return rows.since(len(rows.row_weights) - 1)

    def misfit(self, off: Array) -> tuple[float, str]:
        return far_mm(off)


@dataclass(frozen=True, slots=True, kw_only=True)
class PointTask:
    """A landmark at a place, m; an axis that is None is left free."""

    point: str
    place_m: tuple[float | None, float | None, float | None]
    weight: float = 1.0

    @property
    def words(self) -> str:
        return f"{self.point} at its place"

    def add_to(self, rows: Rows) -> Numbers:
        first = len(rows.row_weights)
        for axis, value in zip(AXES, self.place_m, strict=True):
            if value is not None:
                rows.row([(self.point, *axis)], value, self.weight)
        return rows.since(first)

    def misfit(self, off: Array) -> tuple[float, str]:
        return far_mm(off)


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

    def add_to(self, rows: Rows) -> Numbers:
        x, y, z = self.along
        rows.row([(self.end, x, y, z), (self.start, -x, -y, -z)], self.distance_m, self.weight)
        return rows.since(len(rows.row_weights) - 1)

    def misfit(self, off: Array) -> tuple[float, str]:
        return far_mm(off)


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

    def add_to(self, rows: Rows) -> Numbers:
        rows.lines.append((rows.place(self.start), rows.place(self.end)))
        rows.directions.append(self.direction)
        rows.line_weights.append(self.weight)
        return "line", len(rows.lines) - 1, 1

    def misfit(self, off: Array) -> tuple[float, str]:
        """The angle between the line and its direction, of which `off` is the difference."""
        (x, y, z), (u, v, w) = off + self.direction, self.direction
        across = hypot(y * w - z * v, z * u - x * w, x * v - y * u)
        return float(degrees(atan2(across, x * u + y * v + z * w))), "deg"


@dataclass(frozen=True, slots=True, kw_only=True)
class BalanceTask:
    """The centre of mass of body and load stands over the middle of some landmarks, each with its share."""

    shares: tuple[tuple[str, float], ...]
    held: tuple[HeldLoad, ...] = ()
    weight: float = 1.0

    @property
    def words(self) -> str:
        return "balance over " + ", ".join(name for name, _ in self.shares)

    def add_to(self, rows: Rows) -> Numbers:
        total = sum(share for _, share in self.shares)
        whole_kg = rows.body.mass_kg + sum(load.mass_kg for load in self.held)
        parts = [(CENTRE, rows.body.mass_kg / whole_kg)]
        parts += [(point, load.mass_kg / len(load.points) / whole_kg) for load in self.held for point in load.points]
        parts += [(name, -share / total) for name, share in self.shares]
        rows.row([(name, part, 0.0, 0.0) for name, part in parts], 0.0, self.weight)
        rows.row([(name, 0.0, part, 0.0) for name, part in parts], 0.0, self.weight)
        return rows.since(len(rows.row_weights) - 2)

    def misfit(self, off: Array) -> tuple[float, str]:
        return far_mm(off)
