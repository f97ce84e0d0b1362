"""A move, its rungs and the form that levers change."""

from everyrung.terms.brief import Brief
from everyrung.terms.enums import (
    BandGrade,
    Carry,
    Caution,
    CueKind,
    Depth,
    End,
    Extra,
    Hold,
    KitItem,
    Limb,
    LoadNeed,
    Mode,
    MoveKind,
    Pattern,
    Position,
    Press,
    Reach,
    Rotation,
    Sidedness,
    Support,
    Surface,
)
from everyrung.terms.errors import Invalid, require
from everyrung.terms.frozen import dataclass
from everyrung.terms.lever import Lever
from everyrung.terms.units import Load, Tempo

EASY_GRADE = 2  # the highest that is called easy; chosen, as in the names of the grades
MAX_ENTRY_TEST_WORDS = 9  # "under ten words"
MAX_CHECK_WORDS = 12  # as of a pose's self-check: more is not kept in mind while moving
PULSE_MS = 500  # one small bend, chosen, because two a second is the quickest that is still led safely
# Of an extra, there and back; chosen, because a leg goes up in a second, and a seat and two feet down in two.
EXTRA_MS = {Extra.NONE: 0, Extra.LEG_LIFT: 2000, Extra.FLOOR_TAP: 4000}


@dataclass(frozen=True, slots=True, kw_only=True)
class Cue:
    """Words to say at a rung; those that name `kit` only at one that has it."""

    kind: CueKind
    text: str
    kit: KitItem | None = None

    def __post_init__(self) -> None:
        if not self.text.strip():
            raise Invalid("cue", "words", self.text)


@dataclass(frozen=True, slots=True, kw_only=True)
class KitNeed:
    """What one person needs for one rung: pieces of one item, or of what does as well."""

    item: KitItem
    pieces: int = 1
    instead: tuple[KitItem, ...] = ()

    def __post_init__(self) -> None:
        require(1 <= self.pieces <= 2, "pieces", "one or two pieces", self.pieces)

    def is_met_by(self, item: KitItem) -> bool:
        """Whether such a thing will do."""
        return item is self.item or item in self.instead


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Form(Brief):
    """The shape of one rung: everything that a lever can change.

    `phases` names lowering, bottom, rising and top; or just the hold. `rests` is the end where a repetition begins.
    """

    move: str
    position: Position
    support: Support
    contacts: tuple[str, ...]
    sides: Sidedness
    limb: Limb
    mode: Mode
    tempo: Tempo
    phases: tuple[str, ...]
    hold: Hold = Hold.NONE
    surface: Surface = Surface.FLOOR
    range_share: float = 1.0
    reps_added: int = 0
    load: LoadNeed = LoadNeed.NONE
    band: BandGrade | None = None
    amount: Load | None = None
    carry: Carry | None = None
    reach: Reach = Reach.NONE
    press: Press = Press.NONE
    rotation: Rotation = Rotation.NONE
    pulses: int = 0
    extra: Extra = Extra.NONE
    rests: End = End.TOP

    def __post_init__(self) -> None:
        require(bool(self.move), "move", "a move's key", self.move)
        require(0.2 <= self.range_share <= 1.5, "range", "a share from 0.2 to 1.5", self.range_share)
        require(0 <= self.pulses <= 10, "pulse", "0 to 10 pulses", self.pulses)
        if (self.mode is Mode.HOLD) != self.tempo.is_hold:
            raise Invalid("tempo", "a tempo for repetitions only", str(self.tempo))
        count = 1 if self.mode is Mode.HOLD else 4
        if len(self.phases) != count:
            raise Invalid("phases", f"{count} named phases", len(self.phases))

    @property
    def depth(self) -> Depth:
        if self.range_share == 1:
            return Depth.FULL
        return Depth.PART if self.range_share < 1 else Depth.BEYOND

    @property
    def pulses_ms(self) -> int:
        return self.pulses * PULSE_MS

    @property
    def extra_ms(self) -> int:
        return EXTRA_MS[self.extra]

    @property
    def rep_ms(self) -> int:
        """One repetition with its pulses and its extra."""
        return self.tempo.rep_ms + self.pulses_ms + self.extra_ms

    def in_time(self, tempo: Tempo) -> tuple[tuple[str, int], ...]:
        """The phases of a repetition at `tempo` in the order of time, each with its ms: to full depth; there, with
        pulses and extra; back; at rest."""
        there, full, back, rest = tempo.in_time(self.rests)
        lengths = (there, full + self.pulses_ms + self.extra_ms, back, rest)
        return tuple(zip(self.phases_in_time, lengths, strict=True))

    @property
    def phases_in_time(self) -> tuple[str, ...]:
        """The names of the phases from rest to rest."""
        lower, bottom, rise, top = self.phases
        return (lower, bottom, rise, top) if self.rests is End.TOP else (rise, top, lower, bottom)


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Rung(Brief):
    """One version of a move. `grade` 1 (supported) to 5 (strong, practised) goes by demand, of strength moves of the
    library; else as a file says. `check`: what one feels or sees oneself by, where no pose measures it.
    """

    key: str
    name: str
    move: str
    levers: tuple[Lever, ...]
    form: Form
    kit: tuple[KitNeed, ...]
    entry_test: str
    grade: int
    cautions: tuple[Caution, ...]
    cues: tuple[Cue, ...]
    check: str = ""

    def __post_init__(self) -> None:
        if not 1 <= self.grade <= 5:
            raise Invalid("grade", "a whole number from 1 to 5", self.grade)

    @property
    def address(self) -> str:
        return f"{self.move}/{self.key}"

    @property
    def needs_kit(self) -> bool:
        return any(need.item.counts_as_kit for need in self.kit)


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Move(Brief):
    """A move with all its versions, easiest first; `also` is what else the trade calls it."""

    key: str
    name: str
    kind: MoveKind
    pattern: Pattern
    focus: tuple[str, ...]
    base: Form
    versions: tuple[Rung, ...]
    cues: tuple[Cue, ...]
    cautions: tuple[Caution, ...]
    also: tuple[str, ...] = ()
    check: str = ""

    @property
    def ladder(self) -> tuple[Rung, ...]:
        """Its own rungs, easiest first: what people go up."""
        return tuple(rung for rung in self.versions if rung.form.move == self.key)

    @property
    def stand_ins(self) -> tuple[Rung, ...]:
        """Versions that are another move's, for who can't do this one: beside the ladder, and no step of it."""
        return tuple(rung for rung in self.versions if rung.form.move != self.key)

    def rung(self, key: str) -> Rung:
        """The version called `key`. KeyError when there is none."""
        for rung in self.versions:
            if rung.key == key:
                return rung
        raise KeyError(key)
