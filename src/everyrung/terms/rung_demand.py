"""What one repetition (or hold) of a rung asks of one body: the numbers that levers are judged by, and its drawings."""

from dataclasses import dataclass

from everyrung.terms.brief import Brief
from everyrung.terms.figure import Point3
from everyrung.terms.person import BodySize

SMALL_JOINTS = ("neck", "forearm", "toe")  # chosen, because a coach chooses no rung by them


@dataclass(frozen=True, slots=True, kw_only=True)
class MotionDemand:
    """One direction of one joint: the greatest moment (N m) and part of its strength, and the mean part over the rep.

    `fraction` above 1 is beyond this body. The depth (0 to 1) and `at_ms` are where and when in the repetition the
    greatest part is asked for; `phases` holds the mean part in each phase of `RungDemand.phases_ms`.
    """

    motion: str
    moment_nm: float
    fraction: float
    mean_fraction: float
    depth: float
    phases: tuple[float, ...] = ()
    at_ms: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupDemand:
    """How hard a muscle group works at most, and in the mean over the rep; 0 to 1."""

    group: str
    peak: float
    mean: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Bearing:
    """The force of a support along its normal, N, at rest and at full depth; None where it is not touched."""

    contact: str
    rest_n: float | None
    full_n: float | None


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Drawing(Brief):
    """Named points and things of one pose, m, for a figure: see terms/figure.py."""

    points: tuple[tuple[str, Point3], ...]
    things: tuple["DrawnProp", ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnProp:
    """A prop as plain values: kind, place, size (m), other end, turn (degrees)."""

    kind: str
    at: Point3
    size_m: float
    to: Point3 | None = None
    turn_deg: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class RungDrawing(Brief):
    """A rung as drawn: at rest, at full depth (of a hold, the same) and at the end of an extra there, if it has
    one; seen from where it is clear; what participants are told to look for; and misfits.
    """

    rest: Drawing
    full: Drawing
    seen: str
    self_checks: tuple[str, ...]
    misfits: tuple[str, ...]
    settled: bool
    extra: Drawing | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """One joint's angle (degrees) at full depth, for self-checks."""

    name: str
    rest_deg: float
    full_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SelfCheckResult:
    """A self-check: what is said, what this body's pose measures, what it should, and whether it does."""

    say: str
    measured: str
    limit: str
    met: bool


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class RungDemand(Brief):
    """One rung on one body with one load.

    `phases_ms` are the repetition's phases in the order of time: there, at full depth (with pulses and extra),
    back, at rest; of a hold only the second. `trunk_nm` is the greatest moment at the lowest lumbar joint, all three
    axes together; `balance_m` the least margin of the moving centre of mass to the edge of support and `sideways_m` to
    its left or right edge, None where nothing below bears; `work_j` what the joints do against weight in one
    repetition; `farthest_mm` and `farthest_deg` the greatest misfits of the pose; `above_rest_w` the mean metabolic
    power above rest while it is done.
    """

    size: BodySize
    load_kg: float
    rep_ms: int
    motions: tuple[MotionDemand, ...]
    groups: tuple[GroupDemand, ...]
    bearings: tuple[Bearing, ...]
    joints: tuple[Joint, ...]
    trunk_nm: float
    balance_m: float | None
    sideways_m: float | None
    work_j: float
    above_rest_w: float
    self_checks: tuple[SelfCheckResult, ...]
    misfits: tuple[str, ...]
    farthest_mm: float
    farthest_deg: float
    shortfalls: tuple[str, ...]
    settled: bool
    from_memory: tuple[str, ...]
    phases_ms: tuple[float, ...] = ()

    @property
    def held(self) -> bool:
        """Whether this body can do the rung as described."""
        return self.settled and not self.shortfalls

    @property
    def hardest(self) -> MotionDemand | None:
        """The joint's direction that needs the greatest part of its strength; small joints never set a rung apart."""
        large = [one for one in self.motions if not one.motion.startswith(SMALL_JOINTS)]
        return max(large, key=lambda one: one.fraction, default=None)

    def motion(self, name: str) -> MotionDemand | None:
        return next((one for one in self.motions if one.motion == name), None)

    def effort(self, group: str) -> GroupDemand | None:
        return next((one for one in self.groups if one.group == group), None)


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class DemandAt(Brief):
    """One instant of a repetition: `at_ms` from its start, `depth` from 0 (rest) to 1 (full).

    `moments` has each direction of a joint that is asked for anything: its moment (N m) and part of its strength.
    """

    at_ms: float
    depth: float
    moments: tuple[tuple[str, float, float], ...]


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class RungCurve(Brief):
    """What one repetition of a rung asks of one body: as a whole, and at every instant that was computed, in time."""

    demand: RungDemand
    instants: tuple[DemandAt, ...]

    @property
    def settled(self) -> bool:
        return self.demand.settled

    def over_depth(self, motion: str) -> tuple[tuple[float, float, float], ...]:
        """Depth, moment (N m) and part of the strength of `motion`, in the order of time; 0 where it is not asked."""
        found = []
        for each in self.instants:
            asked = {name: (moment_nm, fraction) for name, moment_nm, fraction in each.moments}
            found.append((each.depth, *asked.get(motion, (0.0, 0.0))))
        return tuple(found)
