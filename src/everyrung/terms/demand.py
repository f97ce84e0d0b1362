"""What a pose asks of a body: moments, muscles, supports, balance, and whether it can be held at all."""

from dataclasses import dataclass

from everyrung.terms.brief import Brief

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
    """A declared share of the weight on one support, and what came of it; both fractions of body and load."""

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
    def held(self) -> bool:
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
