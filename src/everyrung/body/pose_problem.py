"""From a pose as written to tasks, contacts and loads for one body at one depth of the movement.

A rung's form for one body: what is held and how hard a band pulls, from what the form and the coach say.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import ceil

import numpy as np
from scipy.spatial.transform import Rotation  # type: ignore[import-untyped,unused-ignore]

from everyrung.body.bodies import body_model
from everyrung.body.configuration import Configuration, freedom, upright
from everyrung.body.contacts import Contact, HeldLoad, Kind, Pull, contact
from everyrung.body.coordinates import ROOT, Array, Vector3
from everyrung.body.ik_tasks import (
    AngleTask,
    BalanceTask,
    DirectionTask,
    OffsetTask,
    PlaneTask,
    PointTask,
    Task,
)
from everyrung.body.inverse_dynamics import GRAVITY
from everyrung.body.model import BodyModel
from everyrung.body.pose_vocabulary import SOLE, Part, angles, direction, lines, parts, points, push_direction, sole_at
from everyrung.body.rung_load import BAND_N, band_grade, has_band, held_kg
from everyrung.terms.enums import LoadNeed, Side, Surface
from everyrung.terms.errors import Invalid
from everyrung.terms.move import Form
from everyrung.terms.person import BodySize
from everyrung.terms.pose import BALANCE, OPENED, Ground, Layer, Length, Line, Offset, Push, Span, Touch, When, bare
from everyrung.terms.units import Load

KINDS = {
    Ground.FLOOR: Kind.FLOOR,
    Ground.SLIDER: Kind.SLIDER,
    Ground.WALL: Kind.WALL,
    Ground.CHAIR: Kind.CHAIR,
    Ground.STEP: Kind.FLOOR,
    Ground.BALL_AT_WALL: Kind.BALL_AT_WALL,
    Ground.BALL_UNDER: Kind.BALL_UNDER_HEEL,
}
LEVEL = (Ground.FLOOR, Ground.SLIDER)  # a slider is too thin to raise a foot
TOUCHING, APART, OVER, POINTING, LOOSE = 4.0, 2.0, 2.0, 1.0, 0.15  # chosen, because feet must not leave the floor
NEAR_END = 0.02  # of the depth; chosen, because a seat that is touched is touched at the very end
SIDEWAYS = Line(pitch=Span(rest=0, full=0), out=Span(rest=90, full=90))
UPRIGHT = Line(pitch=Span(rest=0, full=0), out=Span(rest=0, full=0))


@dataclass(frozen=True, slots=True, kw_only=True)
class PoseProblem:
    """A pose as written, for one body: `load_kg` is all that is held as `load` says, `band_n` the pull of a band;
    `posture` by which share, -1 to 1, of its room each value that is open differs from what is written (posture.py).
    """

    layer: Layer
    body: BodyModel
    stature_m: float
    range_share: float = 1.0
    working: Side = Side.RIGHT
    surface: Surface = Surface.FLOOR
    load: LoadNeed = LoadNeed.NONE
    load_kg: float = 0.0
    band_n: float = 0.0
    posture: Mapping[str, float] = field(default_factory=dict)

    def initial_guess(self) -> Array:
        """Where searches begin and what they stay near to: turned as the trunk is, angles as written for rest (axis: as
        in coordinates.py; m, quaternion, rad). Raises Invalid for an angle that no body has.
        """
        trunk = self._way("trunk", UPRIGHT)
        across = self._way("hips", SIDEWAYS) * (1 if self.working is Side.LEFT else -1)
        across = across - trunk * (across @ trunk)
        across /= np.linalg.norm(across)
        turn = Rotation.from_matrix(np.column_stack([across, np.cross(trunk, across), trunk]))
        q_ind = upright()
        q_ind[3:ROOT] = turn.as_quat()[[3, 0, 1, 2]]
        for name, value in {**self.layer.loose, **self.layer.angles}.items():
            if value is not None:
                for coordinate, sign in angles(name, self.working):
                    q_ind[freedom(coordinate) + 1] = sign * np.radians(value.rest)
        q_ind[ROOT:] = np.clip(q_ind[ROOT:], self.body.limits.low, self.body.limits.high)
        return self._set_down(q_ind)

    def _way(self, name: str, default: Line) -> Array:
        return direction(self.layer.lines.get(name) or self.layer.begins.get(name) or default, self.working, 0.0)

    def _set_down(self, q_ind: Array) -> Array:
        configuration = Configuration(self.body, q_ind)
        low = min(configuration.point(name)[2] for name in self.body.landmarks)
        q_ind[2] -= low
        return q_ind

    def step(self, depth: float) -> tuple["PoseProblem", float]:
        """The setting that holds at a depth, and the share of it, 0 to 1, that is gone: beyond 1 those of the steps of
        an extra.
        """
        if depth <= 1:
            return self, depth
        place = ceil(depth) - 2
        return replace(self, layer=self.layer.steps[place], range_share=1.0), depth - place - 1

    def room(self, depth: float) -> dict[str, float]:
        """How far either way each value that is left open may be from what is written, in its unit (degrees, or a
        share). Raises Invalid for one that the pose does not name.
        """
        names = [name for entry in OPENED for name in getattr(self.layer, entry)] + [BALANCE]
        for name in self.layer.open:
            if name not in names:
                raise Invalid("open", "a line, an angle or an 'apart' of this pose, or balance", name)
        room = {name: value.at(depth * self.range_share) for name, value in self.layer.open.items() if value}
        stands = any(bare(name) == SOLE for name in self.layer.over)
        return {name: most for name, most in sorted(room.items()) if most > 0 and (stands or name != BALANCE)}

    def tasks(self, depth: float) -> list[Task]:
        """Everything that the pose asks for at this depth. Raises Invalid for a part, line, angle or point that no body
        has.
        """
        at = depth * self.range_share
        shifts = {name: self.posture.get(name, 0.0) * most for name, most in self.room(depth).items()}
        tasks: list[Task] = [*self._touching(depth), *self._angles(self.layer.angles, at, 1.0, shifts)]
        tasks += self._angles(self.layer.loose, at, LOOSE, {})
        for name, line in {"hips": SIDEWAYS, **self.layer.lines}.items():
            for start, end, side in lines(name, self.working):
                if line is not None:
                    way = direction(line, side, at, shifts.get(name, 0.0))
                    tasks.append(DirectionTask(start=start, end=end, direction=vector(way), weight=POINTING))
        for name, offset in self.layer.apart.items():
            tasks += self._apart(name, offset, at, shifts.get(name, 0.0)) if offset else []
        for name, height in self.layer.height.items():
            if height:
                metres = height.metres(at, self.stature_m)
                tasks += [
                    PointTask(point=point, place_m=(None, None, metres), weight=APART)
                    for point, _ in points(name, self.body.point_names, self.working)
                ]
        over = self._over(at, shifts.get(BALANCE, 0.0))
        if over:
            tasks.append(BalanceTask(shares=over, loads=tuple(self.held_loads(depth)), weight=OVER))
        return tasks

    def _angles(
        self, spans: Mapping[str, Span | None], depth: float, weight: float, shifts: Mapping[str, float]
    ) -> Iterator[Task]:
        for name, value in spans.items():
            if value is not None:
                angle_rad = np.radians(value.at(depth) + shifts.get(name, 0.0))
                for coordinate, sign in angles(name, self.working):
                    yield AngleTask(name=coordinate, angle_rad=sign * angle_rad, weight=weight)

    def _touching(self, depth: float) -> Iterator[Task]:
        has_anchor = False
        for name, touch in self.touching(depth):
            for _, one, _ in parts(name, self.working):
                for point, _ in one.points:
                    if touch.push is Push.UP and (touch.height or touch.on in LEVEL):
                        height = self.height_m(touch) + one.pad_m
                        yield PlaneTask(point=point, normal=(0.0, 0.0, 1.0), offset_m=height, weight=TOUCHING)
                    if not has_anchor and touch.when is When.ALWAYS:
                        yield PointTask(point=point, place_m=(0.0, 0.0, None), weight=TOUCHING)
                        has_anchor = True

    def height_m(self, touch: Touch) -> float:
        """How high a support is: a step or seat stays where the full depth needs it."""
        return touch.height.metres(self.range_share, self.stature_m) if touch.height else 0.0

    def touching(self, depth: float) -> Iterator[tuple[str, Touch]]:
        """What is touched at this depth, as written."""
        for name, touch in self.layer.touch.items():
            if touch and touches(touch.when, depth):
                yield name, touch

    def _apart(self, name: str, offset: Offset, depth: float, ahead: float) -> Iterator[Task]:
        for one, other, side in self._pairs(name):
            lengths = ((Push.FORWARD, offset.forward, ahead), (Push.UP, offset.up, 0.0), (Push.IN, offset.out, 0.0))
            for push, length, shift in lengths:
                if isinstance(length, Length):
                    way = push_direction(push, side) * (-1 if push is Push.IN else 1)
                    metres = length.metres(depth, self.stature_m) + shift * self.stature_m
                    yield OffsetTask(start=one, end=other, along=vector(way), distance_m=metres, weight=APART)

    def _pairs(self, name: str) -> list[tuple[str, str, Side]]:
        """The points of 'start to end', side by side; one of the middle goes with both of the other. Raises Invalid."""
        start, _, end = name.partition(" to ")
        starts, ends = (points(each, self.body.point_names, self.working) for each in (start, end))
        if len(starts) == 1:
            starts *= len(ends)
        elif len(ends) == 1:
            ends *= len(starts)
        return [(one, other, side) for (one, _), (other, side) in zip(starts, ends, strict=True)]

    def _over(self, depth: float, ahead: float) -> tuple[tuple[str, float], ...]:
        """The points to stand over, with their shares; `ahead` of what is on a sole lies on its ball, not its heel."""
        return tuple(
            (point, share.at(depth) * part / len(members))
            for name, share in self.layer.over.items()
            if share and share.at(depth) > 0
            for members in [parts(name, self.working)]
            for _, one, _ in members
            for point, part in (sole_at(one, ahead) if bare(name) == SOLE else one).points
        )

    def contacts(self, depth: float) -> list[Contact]:
        """What the body leans on at this depth; parts that bear the weight have their declared share. Raises Invalid
        for a part that no body has.
        """
        return [
            self._contact(name, one, touch, side, depth)
            for entry, touch in self.touching(depth)
            for name, one, side in parts(entry, self.working)
        ]

    def _contact(self, name: str, one: Part, touch: Touch, side: Side, depth: float) -> Contact:
        names = tuple(point for point, _ in one.points)
        support = contact(name.replace("_", " "), names, KINDS[touch.on], vector(push_direction(touch.push, side)))
        return support.taking(touch.share.at(depth * self.range_share)) if touch.share else support

    def held_loads(self, depth: float) -> list[HeldLoad]:
        """Where the load hangs, and how much of it, kg. Raises Invalid for a point that no body has."""
        shares = {name: share.at(depth * self.range_share) for name, share in self.layer.hangs.items() if share}
        total = sum(shares.values())
        return [
            HeldLoad(
                mass_kg=self.load_kg * share / total,
                points=tuple(point for point, _ in points(name, self.body.point_names, self.working)),
            )
            for name, share in shares.items()
            if self.load_kg and total > 0
        ]

    def pulls(self, depth: float) -> list[Pull]:
        """Bands, and what is pressed between two parts, N. Raises Invalid for a point that no body has, and for one
        that is not of both sides.
        """
        at = depth * self.range_share
        weight_n = self.body.mass_kg * GRAVITY
        pulls = []
        for name, share in self.layer.squeeze.items():
            ends = [point for point, _ in points(name, self.body.point_names, self.working)]
            if len(ends) != 2:
                raise Invalid(f"squeeze {name}", "a point of both sides, such as palm", name)
            pulls.append(Pull(start=ends[0], end=ends[1], newtons=-weight_n * share.at(at) if share else 0.0))
        for name, stretch in self.layer.stretched.items():
            newtons = self.band_n * stretch.at(at) if stretch else 0.0
            pulls += [Pull(start=one, end=other, newtons=newtons) for one, other, _ in self._pairs(name)]
        for name, tether in self.layer.tethered.items():
            if tether:
                newtons = self.band_n * tether.stretch.at(at)
                for point, side in points(name, self.body.point_names, self.working):
                    way = vector(direction(tether.line, side, at))
                    pulls.append(Pull(start=point, end=point, newtons=newtons, way=way))
        return pulls


def touches(when: When, depth: float) -> bool:
    """Whether something touched only at an end is touched at this depth.

    >>> touches(When.ENDS, 1.0), touches(When.REST, 0.5)
    (True, False)
    """
    rest, full = depth <= NEAR_END, depth >= 1 - NEAR_END
    return {When.ALWAYS: True, When.REST: rest, When.FULL: full, When.ENDS: rest or full}[when]


def vector(numbers: Array | Sequence[float]) -> Vector3:
    """Three numbers of a row (axis: x, y, z) as plain ones, which terms hold and can be compared by.

    >>> vector(np.array([0.0, -1.0, 0.5]))
    (0.0, -1.0, 0.5)
    """
    x, y, z = (float(value) for value in numbers)
    return x, y, z


def pose_problem(
    form: Form, layer: Layer, size: BodySize, load: Load | None = None, working: Side = Side.RIGHT
) -> PoseProblem:
    """The pose of `form` for a body of this size with this load; without one, with the form's own or the usual."""
    amount = load or form.amount
    return PoseProblem(
        layer=layer,
        body=body_model(size),
        stature_m=size.stature_m,
        range_share=form.range_share,
        working=working,
        surface=form.surface,
        load=form.load,
        load_kg=held_kg(form, amount),
        band_n=BAND_N[band_grade(form, amount)] if has_band(form) else 0.0,
    )
