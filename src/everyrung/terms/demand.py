"""What a pose asks of a body: moments, muscles, supports, balance, and whether it can be held at all.

What one repetition (or hold) of a rung asks of one body: the numbers that levers are judged by, and its drawings.

What every led rung asks of every reference body: computed once, read by checks and publications.

A rung in motion: its solved poses from rest to full depth, and which of them is when in a repetition.
"""

from collections.abc import Iterator, Mapping

from everyrung.terms.brief import Brief
from everyrung.terms.figure import Point3
from everyrung.terms.frozen import dataclass
from everyrung.terms.person import BodySize
from everyrung.terms.plan import Ref

Force = tuple[float, float, float]  # N in world axes: the participant's left when facing ahead, back, up


@dataclass(frozen=True, slots=True, kw_only=True)
class JointMoment:
    """The moment all tissues together make about one joint, N m; `motion` says which way: 'hip_extension_left'.

    `passive_nm` of it comes from stretched tissue (below zero where that works against it); `strength_nm` is the
    greatest the body's muscles can make at this angle, None where nobody measures it (toes).
    """

    motion: str
    moment_nm: float
    passive_nm: float
    strength_nm: float | None

    @property
    def fraction(self) -> float | None:
        """The part of its strength that the muscles must use; above 1 it is beyond them."""
        if self.strength_nm is None:
            return None
        return max(self.moment_nm - self.passive_nm, 0.0) / self.strength_nm


@dataclass(frozen=True, slots=True, kw_only=True)
class Effort:
    """How hard a muscle group works, 0 to 1; its muscles count by the force they can make."""

    group: str
    activation: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Reaction:
    """The force of one support on the body, N: along its normal, across it, and as a vector."""

    contact: str
    normal_n: float
    friction_n: float
    force_n: Force


@dataclass(frozen=True, slots=True, kw_only=True)
class ShareMet:
    """A declared share of the weight on one support, and the share met; both fractions of body and load."""

    contact: str
    wanted: float
    got: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TrunkMoment:
    """The moment at the lowest lumbar joint, N m: which the trunk must make to bend back, to the right, to the left."""

    extension_nm: float
    bend_right_nm: float
    turn_left_nm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Balance:
    """How far (m) the centre of mass of body and load lies inside the edge of its support; below zero, outside.

    `moving_m` is the same for the extrapolated centre of mass: where it would come to rest over a stiff leg; and
    `sideways_m` is its room to the left or right alone, which a narrow stance takes away.
    """

    still_m: float
    moving_m: float
    sideways_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Shortfall:
    """What the pose needs and nobody gives: N m at a joint, N or N m at the whole body, % of a share of the weight."""

    what: str
    amount: float
    unit: str

    def __str__(self) -> str:
        return f"{self.what}: off by {self.amount:.0f} {self.unit}"


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Demand(Brief):
    """Everything known about one pose of one body. `balance` is None where nothing below bears the body."""

    moments: tuple[JointMoment, ...]
    efforts: tuple[Effort, ...]
    reactions: tuple[Reaction, ...]
    shares: tuple[ShareMet, ...]
    trunk: TrunkMoment
    balance: Balance | None
    greatest_reserve_nm: float
    root_residual_n: float
    root_residual_nm: float
    shortfalls: tuple[Shortfall, ...]

    @property
    def feasible(self) -> bool:
        """Whether the body can hold the pose as described."""
        return not self.shortfalls

    def moment(self, motion: str) -> float:
        """The moment in the direction of `motion`, N m; 0 when the joint turns the other way."""
        return next((one.moment_nm for one in self.moments if one.motion == motion), 0.0)

    def activation(self, group: str) -> float:
        """How hard a group works. Raises KeyError for an unknown group."""
        return {one.group: one.activation for one in self.efforts}[group]

    def reaction(self, contact: str) -> Reaction:
        """The force of a support. Raises KeyError for an unknown contact."""
        return {one.contact: one for one in self.reactions}[contact]


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
    has_converged: bool
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
    has_converged: bool
    from_memory: tuple[str, ...]
    phases_ms: tuple[float, ...] = ()

    @property
    def feasible(self) -> bool:
        """Whether this body can do the rung as described."""
        return self.has_converged and not self.shortfalls

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
    def has_converged(self) -> bool:
        return self.demand.has_converged

    def over_depth(self, motion: str) -> tuple[tuple[float, float, float], ...]:
        """Depth, moment (N m) and part of the strength of `motion`, in the order of time; 0 where it is not asked."""
        points = []
        for each in self.instants:
            moments = {name: (moment_nm, fraction) for name, moment_nm, fraction in each.moments}
            points.append((each.depth, *moments.get(motion, (0.0, 0.0))))
        return tuple(points)


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Mechanics(Brief):
    """Demands by cell and body. `failed` holds what could not be posed at all: cell and reason."""

    bodies: tuple[BodySize, ...]
    demands: Mapping[tuple[Ref, BodySize], RungDemand]
    failed: Mapping[Ref, str]

    def of(self, ref: Ref) -> Iterator[tuple[BodySize, RungDemand]]:
        """The demand of one cell on each body that has one."""
        for body in self.bodies:
            demand = self.demands.get((ref, body))
            if demand is not None:
                yield body, demand


@dataclass(frozen=True, slots=True, kw_only=True)
class Instant:
    """At `at_ms` of the repetition the body is in `poses[pose]`."""

    at_ms: int
    pose: int


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class RungMotion(Brief):
    """Poses at equal steps of depth, and the instants of a repetition from rest to rest; of a hold one of each.

    `ways_ms` are the phases in the order of time: there, at full depth (with pulses and extra), back, at rest; none
    of a hold. Each way through a step of an extra ends at one of `stops_ms`; the steps' poses come after those of the
    depths. `rests` is the phase of least depth, 'top' or 'bottom'; `seen` is from where the figure is clear.
    """

    poses: tuple[Drawing, ...]
    instants: tuple[Instant, ...]
    ways_ms: tuple[int, ...]
    rests: str | None
    seen: str
    has_converged: bool
    stops_ms: tuple[int, ...] = ()
