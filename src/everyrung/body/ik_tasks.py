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
from everyrung.body.coordinates import ROOT_FREEDOMS, Array, Integers, Vector3
from everyrung.body.model import BodyModel

METRE = 0.3  # chosen, because 10 cm at a hand then counts like 20 degrees at a joint
Entry = tuple[str, float, float, float]  # a landmark (CENTRE: the body's centre of mass) and its coefficients by axis
CENTRE = "centre of mass"
AXES: tuple[Vector3, ...] = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


class TaskRows(NamedTuple):
    """What a pose asks for. Axes: row, entry (of a row), line (between two points), angle; xyz.

    A row is the sum of coefficient . point over its entries (`begins[row]` to the next) less a constant, lengths in
    METRE; the point behind the last is the whole body's centre of mass. A line from `start` to `end` is to point in a
    direction (a unit vector). An angle is that of a coordinate, rad. Weights are factors.
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
    """Anything a pose may ask for: it adds its numbers to the rows, and says how far off it is by them."""

    @property
    def weight(self) -> float:
        """A factor of its numbers; below `inverse_kinematics.FIRM` the task is a wish."""
        ...

    @property
    def words(self) -> str:
        """What a misfit is called by, as a coach reads it."""
        ...

    def add_to(self, rows: "Rows") -> None:
        """Adds its rows, lines and angles. Raises KeyError for a point that no body has."""
        ...

    def misfit(self, off: Array) -> tuple[float, str]:
        """How far off it is by its own numbers of the residuals (axis: number), with the unit: 'mm' or 'deg'."""
        ...


@dataclass(slots=True)
class Rows:
    """The rows of a pose as they are gathered, task by task; `tasks` is how many there are so far."""

    body: BodyModel
    tasks: int = 0
    points: list[int] = field(default_factory=list)
    coefficients: list[Vector3] = field(default_factory=list)
    begins: list[int] = field(default_factory=lambda: [0])
    constants: list[float] = field(default_factory=list)
    row_weights: list[float] = field(default_factory=list)
    row_tasks: list[int] = field(default_factory=list)
    lines: list[tuple[int, int]] = field(default_factory=list)
    directions: list[Vector3] = field(default_factory=list)
    line_weights: list[float] = field(default_factory=list)
    line_tasks: list[int] = field(default_factory=list)
    angles: list[tuple[int, float, float]] = field(default_factory=list)
    angle_tasks: list[int] = field(default_factory=list)

    def add(self, task: Task) -> None:
        """All that one more task asks for. Raises KeyError for a point that no body has."""
        task.add_to(self)
        self.tasks += 1

    def row(self, entries: Sequence[Entry], constant_m: float, weight: float) -> None:
        """A sum over points, less a constant in m. Raises KeyError for a point that no body has."""
        for point, x, y, z in entries:
            self.points.append(self.place(point))
            self.coefficients.append((x / METRE, y / METRE, z / METRE))
        self.begins.append(len(self.points))
        self.constants.append(constant_m / METRE)
        self.row_weights.append(weight)
        self.row_tasks.append(self.tasks)

    def line(self, start: str, end: str, direction: Vector3, weight: float) -> None:
        """A line from one landmark to another, and the unit vector that it is to point along. Raises KeyError for a
        point that no body has.
        """
        self.lines.append((self.place(start), self.place(end)))
        self.directions.append(direction)
        self.line_weights.append(weight)
        self.line_tasks.append(self.tasks)

    def angle(self, name: str, angle_rad: float, weight: float) -> None:
        """A coordinate, and the angle that it is to have, rad. Raises ValueError for a name that no coordinate has."""
        self.angles.append((freedom(name) - ROOT_FREEDOMS, angle_rad, weight))
        self.angle_tasks.append(self.tasks)

    def place(self, point: str) -> int:
        """The place of a landmark among the body's, behind them that of the centre of mass. Raises KeyError for
        another.
        """
        return len(self.body.places) if point == CENTRE else self.body.places[point]

    def arrays(self) -> TaskRows:
        """All that was gathered so far, as compiled code reads it."""
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

    def task_of(self) -> Integers:
        """Which task each of the residuals belongs to (axis: residual, as pose_search.py has them)."""
        return np.array([*self.row_tasks, *np.repeat(self.line_tasks, 3), *self.angle_tasks], dtype=np.int64)


class LengthTask:
    """A task that is off by lengths."""

    __slots__ = ()

    def misfit(self, off: Array) -> tuple[float, str]:
        """How far off, mm: the length of `off`, whose numbers are by METRE (axis: number of the task)."""
        return float(np.sqrt(off @ off)) * METRE * 1000, "mm"


@dataclass(frozen=True, slots=True, kw_only=True)
class AngleTask:
    """One coordinate (coordinates.py) at an angle in radians."""

    name: str
    angle_rad: float
    weight: float = 1.0

    @property
    def words(self) -> str:
        """Coordinate and angle, in degrees."""
        return f"{self.name} at {np.degrees(self.angle_rad):.0f} degrees"

    def add_to(self, rows: Rows) -> None:
        """Its one angle. Raises ValueError for a name that no coordinate has."""
        rows.angle(self.name, self.angle_rad, self.weight)

    def misfit(self, off: Array) -> tuple[float, str]:
        """How far off, degrees (axis of `off`: the one angle, rad)."""
        return float(np.degrees(abs(off[0]))), "deg"


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaneTask(LengthTask):
    """A landmark on a plane: `normal` is a unit vector, `offset_m` how far the plane lies along it."""

    point: str
    normal: Vector3
    offset_m: float = 0.0
    weight: float = 1.0

    @property
    def words(self) -> str:
        """The landmark, without where the plane is."""
        return f"{self.point} on its plane"

    def add_to(self, rows: Rows) -> None:
        """One row: the landmark along the normal. Raises KeyError for a point that no body has."""
        rows.row([(self.point, *self.normal)], self.offset_m, self.weight)


@dataclass(frozen=True, slots=True, kw_only=True)
class PointTask(LengthTask):
    """A landmark at a place, m; an axis that is None is left free."""

    point: str
    place_m: tuple[float | None, float | None, float | None]
    weight: float = 1.0

    @property
    def words(self) -> str:
        """The landmark, without the numbers of its place."""
        return f"{self.point} at its place"

    def add_to(self, rows: Rows) -> None:
        """A row for each axis that is not left free. Raises KeyError for a point that no body has."""
        for axis, value in zip(AXES, self.place_m, strict=True):
            if value is not None:
                rows.row([(self.point, *axis)], value, self.weight)


@dataclass(frozen=True, slots=True, kw_only=True)
class OffsetTask(LengthTask):
    """One landmark from another along a direction: `(end - start) . along = distance_m`."""

    start: str
    end: str
    along: Vector3
    distance_m: float
    weight: float = 1.0

    @property
    def words(self) -> str:
        """Both landmarks and the distance, in cm."""
        return f"{self.end} {self.distance_m * 100:.0f} cm from {self.start}"

    def add_to(self, rows: Rows) -> None:
        """One row: both landmarks' difference along the direction. Raises KeyError for a point that no body has."""
        x, y, z = self.along
        rows.row([(self.end, x, y, z), (self.start, -x, -y, -z)], self.distance_m, self.weight)


@dataclass(frozen=True, slots=True, kw_only=True)
class DirectionTask:
    """The line from one landmark to another points in a direction (a unit vector)."""

    start: str
    end: str
    direction: Vector3
    weight: float = 1.0

    @property
    def words(self) -> str:
        """Both landmarks, without the numbers of the direction."""
        return f"{self.start} to {self.end} in its direction"

    def add_to(self, rows: Rows) -> None:
        """Its one line. Raises KeyError for a point that no body has."""
        rows.line(self.start, self.end, self.direction, self.weight)

    def misfit(self, off: Array) -> tuple[float, str]:
        """The angle, degrees, between the line and its direction, of which `off` (axis: xyz) is the difference.

        >>> ahead = DirectionTask(start="hip_left", end="knee_left", direction=(0.0, -1.0, 0.0))
        >>> ahead.misfit(np.array([0.0, 1.0, 1.0]))
        (90.0, 'deg')
        """
        (x, y, z), (u, v, w) = off + self.direction, self.direction
        across = hypot(y * w - z * v, z * u - x * w, x * v - y * u)
        return float(degrees(atan2(across, x * u + y * v + z * w))), "deg"


@dataclass(frozen=True, slots=True, kw_only=True)
class BalanceTask(LengthTask):
    """The centre of mass of body and load stands over the middle of some landmarks, each with its share."""

    shares: tuple[tuple[str, float], ...]
    loads: tuple[HeldLoad, ...] = ()
    weight: float = 1.0

    @property
    def words(self) -> str:
        """The landmarks to stand over, without their shares."""
        return "balance over " + ", ".join(name for name, _ in self.shares)

    def add_to(self, rows: Rows) -> None:
        """Two rows, to the left and back: the centre of body and load less the middle of the landmarks. Raises KeyError
        for a point that no body has.
        """
        total = sum(share for _, share in self.shares)
        whole_kg = rows.body.mass_kg + sum(load.mass_kg for load in self.loads)
        parts = [(CENTRE, rows.body.mass_kg / whole_kg)]
        parts += [(point, load.mass_kg / len(load.points) / whole_kg) for load in self.loads for point in load.points]
        parts += [(name, -share / total) for name, share in self.shares]
        rows.row([(name, part, 0.0, 0.0) for name, part in parts], 0.0, self.weight)
        rows.row([(name, 0.0, part, 0.0) for name, part in parts], 0.0, self.weight)
