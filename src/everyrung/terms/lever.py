"""The closed set of levers: each one typed change that makes a rung harder or easier.

`only_time` is true of those that change how long a rung lasts, and not what a joint has to do at most.
"""

from typing import ClassVar

from everyrung.terms.enums import (
    BandGrade,
    Hold,
    LoadNeed,
    Sidedness,
    Support,
)
from everyrung.terms.enums import Carry as CarryWord
from everyrung.terms.enums import Extra as ExtraWord
from everyrung.terms.enums import Press as PressWord
from everyrung.terms.enums import Reach as ReachWord
from everyrung.terms.enums import Rotation as RotationWord
from everyrung.terms.enums import Surface as SurfaceWord
from everyrung.terms.errors import Invalid, require
from everyrung.terms.frozen import dataclass
from everyrung.terms.units import Load as LoadAmount


@dataclass(frozen=True, slots=True, kw_only=True)
class Range:
    """Share of the base move's depth: 0.5 is half way, 1.25 goes a quarter further."""

    word: ClassVar[str] = "range"
    only_time: ClassVar[bool] = False
    share: float

    def __post_init__(self) -> None:
        if not 0.2 <= self.share <= 1.5:
            raise Invalid("range", "a share of the base depth from 0.2 to 1.5", self.share)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pause:
    """A stop at the bottom or the top of every repetition."""

    word: ClassVar[str] = "pause"
    only_time: ClassVar[bool] = True
    pause_ms: int
    at_top: bool = False

    def __post_init__(self) -> None:
        if not 500 <= self.pause_ms <= 30_000:
            raise Invalid("pause", "half a second to 30 seconds", f"{self.pause_ms / 1000:g} s")


@dataclass(frozen=True, slots=True, kw_only=True)
class TempoChange:
    """New lowering and rising times; pauses are the pause lever's."""

    word: ClassVar[str] = "tempo"
    only_time: ClassVar[bool] = True
    lower_ms: int
    rise_ms: int

    def __post_init__(self) -> None:
        if not (500 <= self.lower_ms <= 30_000 and 500 <= self.rise_ms <= 30_000):
            raise Invalid("tempo", "half a second to 30 seconds each way", (self.lower_ms, self.rise_ms))


@dataclass(frozen=True, slots=True, kw_only=True)
class Reps:
    """Repetitions added to (or, negative, taken from) the dose; a side where the dose is a side."""

    word: ClassVar[str] = "reps"
    only_time: ClassVar[bool] = True
    added: int

    def __post_init__(self) -> None:
        if self.added == 0 or abs(self.added) > 50:
            raise Invalid("reps", "a change of 1 to 50 repetitions, up or down", self.added)


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadChange:
    """Something to hold. A move file says how many pieces; a plan may say how heavy."""

    word: ClassVar[str] = "load"
    only_time: ClassVar[bool] = False
    need: LoadNeed
    amount: LoadAmount | None = None
    band: BandGrade | None = None

    def __post_init__(self) -> None:
        pieces = self.need.pieces
        if self.amount is not None:
            require(len(self.amount.pieces) == pieces, "load", f"{pieces} pieces for {self.need!s}", str(self.amount))
        fits = self.band is None or self.band.need is self.need
        require(fits, "load", "the grade of a band for such a band", str(self.band))


@dataclass(frozen=True, slots=True, kw_only=True)
class CarryChange:
    """A load carried another way."""

    word: ClassVar[str] = "carry"
    only_time: ClassVar[bool] = False
    carry: CarryWord


@dataclass(frozen=True, slots=True, kw_only=True)
class ReachChange:
    """The arms held elsewhere."""

    word: ClassVar[str] = "reach"
    only_time: ClassVar[bool] = False
    reach: ReachWord


@dataclass(frozen=True, slots=True, kw_only=True)
class PressChange:
    """A press joined to every repetition."""

    word: ClassVar[str] = "press"
    only_time: ClassVar[bool] = False
    press: PressWord


@dataclass(frozen=True, slots=True, kw_only=True)
class RotationChange:
    """A turn of the trunk joined to every repetition."""

    word: ClassVar[str] = "rotation"
    only_time: ClassVar[bool] = False
    rotation: RotationWord


@dataclass(frozen=True, slots=True, kw_only=True)
class Base:
    """Base of support: another stance, or a hand-hold."""

    word: ClassVar[str] = "base"
    only_time: ClassVar[bool] = False
    support: Support | None = None
    hold: Hold | None = None

    def __post_init__(self) -> None:
        if (self.support is None) == (self.hold is None):
            raise Invalid("base", "a stance or a hand-hold, one a lever", (self.support, self.hold))


@dataclass(frozen=True, slots=True, kw_only=True)
class Unilateral:
    """From both sides at once to one side at a time (or alternating)."""

    word: ClassVar[str] = "unilateral"
    only_time: ClassVar[bool] = False
    sides: Sidedness

    def __post_init__(self) -> None:
        if self.sides is Sidedness.BOTH:
            raise Invalid("unilateral", "'one side' or 'alternating'", self.sides)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pulse:
    """Small extra bends at full depth of every repetition, half a second each."""

    word: ClassVar[str] = "pulse"
    only_time: ClassVar[bool] = True
    count: int

    def __post_init__(self) -> None:
        if not 1 <= self.count <= 10:
            raise Invalid("pulse", "1 to 10 pulses a repetition", self.count)


@dataclass(frozen=True, slots=True, kw_only=True)
class ExtraChange:
    """Something more at full depth of every repetition, before the way back."""

    word: ClassVar[str] = "extra"
    only_time: ClassVar[bool] = False
    extra: ExtraWord


@dataclass(frozen=True, slots=True, kw_only=True)
class SurfaceChange:
    """Another surface, or a ball somewhere."""

    word: ClassVar[str] = "surface"
    only_time: ClassVar[bool] = False
    surface: SurfaceWord


@dataclass(frozen=True, slots=True, kw_only=True)
class Swap:
    """Another move's rung in this one's place: 'move-name' or 'move-name/rung'."""

    word: ClassVar[str] = "swap"
    only_time: ClassVar[bool] = False
    move: str
    rung: str = "base"

    def __post_init__(self) -> None:
        require(bool(self.move and self.rung), "swap", "a move, and after a slash its rung", self.move)


Lever = (
    Range
    | Pause
    | TempoChange
    | Reps
    | LoadChange
    | CarryChange
    | ReachChange
    | PressChange
    | RotationChange
    | Base
    | Unilateral
    | Pulse
    | ExtraChange
    | SurfaceChange
    | Swap
)

LEVER_WORDS: tuple[str, ...] = (
    "range", "pause", "tempo", "reps", "load", "carry", "reach",
    "press", "rotation", "base", "unilateral", "pulse", "extra", "surface", "swap",
)  # fmt: skip
