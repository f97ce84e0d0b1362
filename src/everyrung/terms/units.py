"""Tempo, mass, load and dose: the amounts a coach writes, exact and with their unit."""

from enum import StrEnum

from everyrung.terms.enums import BandGrade, Carry, End
from everyrung.terms.errors import Invalid, require
from everyrung.terms.frozen import dataclass

KG_PER_LB = 0.45359237  # exact by definition (international pound)
MAX_REPS = 200  # chosen, because no led bout counts further and a typing slip of one digit does
MAX_BOUT_MS = 1_800_000  # chosen, because half an hour on one rung is a typing slip
MAX_MASS_KG = 100.0  # chosen, because no hand-held load in a led class is heavier
SAME_MASS_KG = 0.05  # chosen, because 10 lb (4.536 kg) and a dumbbell stamped 4.5 kg are the same to lift
MIN_STEP_CM, MAX_STEP_CM = 5.0, 60.0  # chosen, because a lower one is a mat, and a higher one a table
MAX_PHASE_MS = 60_000  # chosen, because a slower phase is a hold


class MassUnit(StrEnum):
    KG = "kg"
    LB = "lb"


@dataclass(frozen=True, slots=True, kw_only=True)
class Mass:
    """One piece's mass in the unit it was written in."""

    amount: float
    unit: MassUnit

    def __post_init__(self) -> None:
        if not 0 < self.mass_kg <= MAX_MASS_KG:
            raise Invalid("load", f"more than 0 and at most {MAX_MASS_KG:g} kg a piece", str(self))

    @property
    def mass_kg(self) -> float:
        return self.amount * (KG_PER_LB if self.unit is MassUnit.LB else 1.0)

    def __str__(self) -> str:
        return f"{self.amount:g} {self.unit}"

    @property
    def both_units(self) -> str:
        """'10 lb / 4.5 kg': for sheets read by people with either kind of kit."""
        if self.unit is MassUnit.LB:
            return f"{self} / {self.mass_kg:.1f} kg"
        pounds = self.mass_kg / KG_PER_LB
        return f"{self} / {pounds:.1f} lb" if pounds < 10 else f"{self} / {pounds:.0f} lb"


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """What is held: one or two pieces, or a band. In a session pieces have a carry; a band has none."""

    pieces: tuple[Mass, ...] = ()
    band: BandGrade | None = None
    carry: Carry | None = None

    def __post_init__(self) -> None:
        if bool(self.pieces) == (self.band is not None):
            raise Invalid("load", "one or two pieces, or a band", self.pieces or "nothing")
        if len(self.pieces) > 2:
            raise Invalid("load", "one or two pieces", f"{len(self.pieces)} pieces")

    @property
    def total_kg(self) -> float:
        return sum(piece.mass_kg for piece in self.pieces)

    @property
    def is_matched(self) -> bool:
        masses = [piece.mass_kg for piece in self.pieces]
        return not masses or max(masses) - min(masses) <= SAME_MASS_KG

    def __str__(self) -> str:
        if self.band:
            return str(self.band)
        if len(self.pieces) == 2:
            first, second = self.pieces
            return f"2 x {first}" if first == second else f"{first} + {second}"
        return str(self.pieces[0])


@dataclass(frozen=True, slots=True, kw_only=True)
class Tempo:
    """Lowering, bottom pause, rising, top pause. All zero means a hold: nothing is counted."""

    lower_ms: int
    bottom_ms: int
    rise_ms: int
    top_ms: int

    def __post_init__(self) -> None:
        for name in ("lower_ms", "bottom_ms", "rise_ms", "top_ms"):
            phase_ms = getattr(self, name)
            if not isinstance(phase_ms, int) or not 0 <= phase_ms <= MAX_PHASE_MS:
                raise Invalid("tempo", "phases of 0 to 60 seconds in whole milliseconds", phase_ms / 1000)
        moving = self.lower_ms + self.rise_ms
        if self.rep_ms and moving < 500:
            raise Invalid("tempo", "at least half a second of lowering and rising together", str(self))

    def in_time(self, rests: End) -> tuple[int, int, int, int]:
        """The four times from rest to rest, ms: to full depth, there, back, at rest."""
        if rests is End.TOP:
            return self.lower_ms, self.bottom_ms, self.rise_ms, self.top_ms
        return self.rise_ms, self.top_ms, self.lower_ms, self.bottom_ms

    @property
    def rep_ms(self) -> int:
        return self.lower_ms + self.bottom_ms + self.rise_ms + self.top_ms

    @property
    def is_hold(self) -> bool:
        return self.rep_ms == 0

    def __str__(self) -> str:
        phases = (self.lower_ms, self.bottom_ms, self.rise_ms, self.top_ms)
        return "-".join(f"{phase / 1000:g}" for phase in phases)


STILL = Tempo(lower_ms=0, bottom_ms=0, rise_ms=0, top_ms=0)


class Per(StrEnum):
    """Whether a dose counts each side or everything together."""

    SIDE = "a side"
    ALL = "in all"
    PLAIN = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Dose:
    """Repetitions or time: exactly one of the two."""

    reps: int | None = None
    duration_ms: int | None = None
    per: Per = Per.PLAIN

    def __post_init__(self) -> None:
        require(isinstance(self.per, Per), "per", "'a side', 'in all' or nothing", self.per)
        if (self.reps is None) == (self.duration_ms is None):
            raise Invalid("dose", "repetitions or a time, one of the two", self.reps)
        if self.reps is not None and not 1 <= self.reps <= MAX_REPS:
            raise Invalid("dose", f"1 to {MAX_REPS} repetitions", self.reps)
        if self.duration_ms is not None and not 1000 <= self.duration_ms <= MAX_BOUT_MS:
            raise Invalid("dose", "a time of 1 second to 30 minutes", f"{self.duration_ms / 1000:g} s")

    def __str__(self) -> str:
        amount = f"{self.reps} reps" if self.reps is not None else clock_text(self.duration_ms or 0)
        if self.per is Per.PLAIN:
            return amount
        return f"{amount.removesuffix(' reps')} {self.per}"


def clock_text(duration_ms: int) -> str:
    """'1:30' for 90,000 ms; thousandths only where there are any."""
    seconds, thousandths = divmod(duration_ms, 1000)
    minutes, seconds = divmod(seconds, 60)
    tail = f".{thousandths:03d}".rstrip("0") if thousandths else ""
    return f"{minutes}:{seconds:02d}{tail}"
