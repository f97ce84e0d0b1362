"""A plan as the coach wrote it: what she left out is None, and resolving decides it."""

from collections.abc import Mapping
from dataclasses import field

from everyrung.terms.brief import Brief
from everyrung.terms.enums import (
    BandGrade,
    BlockKind,
    Carry,
    Caution,
    KitItem,
    Level,
    OptionKind,
    Side,
    SideRule,
    View,
)
from everyrung.terms.errors import Invalid, Where, require
from everyrung.terms.frozen import dataclass
from everyrung.terms.lever import Lever
from everyrung.terms.person import Experience, Sex
from everyrung.terms.units import Dose, Load, Mass, Tempo

MOST_WAVES = 4  # chosen, because nobody keeps track of more
LETTERS = "ABCD"  # of the waves
WAVE_RESTS = "rest"  # in a group of waves: a turn without a move
MAX_CELLS = 20_000  # chosen, because a day of ten-second sets holds fewer; more is a runaway file


@dataclass(frozen=True, slots=True, kw_only=True)
class Who:
    """Who may come. `limits` are cautions that someone present has to avoid; `live`: those at home take part live
    online, and the leader sees them on a screen; `lip_readers`: somebody reads the leader's lips.
    """

    in_room: int = 0
    at_home: int = 0
    newcomers: bool = False
    limits: tuple[Caution, ...] = ()
    live: bool = False
    lip_readers: bool = False

    def __post_init__(self) -> None:
        require(self.in_room >= 0, "in_room", "0 people or more", self.in_room)
        require(self.at_home >= 0, "at_home", "0 people or more", self.at_home)
        if self.in_room + self.at_home < 1:
            raise Invalid("in_room", "at least one person in the room or at home", 0)
        if self.live and not self.at_home:
            raise Invalid("live", "people at home, or no live", "live with at_home = 0")

    @property
    def part_in_room(self) -> float:
        """The part of those who may come that is in the room."""
        return self.in_room / (self.in_room + self.at_home)


@dataclass(frozen=True, slots=True, kw_only=True)
class Leader:
    """Who leads, as far as the plan says: how hard it is for them decides how much they can say."""

    stature_m: float | None = None
    mass_kg: float | None = None
    age: int | None = None
    sex: Sex | None = None
    level: Experience | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """Kit that is there: `count` pieces (pairs where `pairs`) in the room, or `each` for everyone who comes."""

    item: KitItem
    count: int = 0
    each: int = 0
    mass: Mass | None = None
    pairs: bool = False
    diameter_cm: float | None = None
    rated_kg: float | None = None
    grade: BandGrade | None = None
    height_cm: float | None = None

    def __post_init__(self) -> None:
        require(self.count >= 0, "count", "0 or more", self.count)
        require(self.each >= 0, "each", "0 or more", self.each)
        require(self.diameter_cm is None or self.diameter_cm > 0, "diameter", "more than 0 cm", self.diameter_cm)
        require(self.rated_kg is None or self.rated_kg > 0, "rated", "more than 0 kg", self.rated_kg)
        if (self.count > 0) == (self.each > 0):
            got = "both" if self.count else "neither"
            raise Invalid("count", "either a count in all or what each has", got)
        if self.item.has_mass != (self.mass is not None):
            raise Invalid("mass", "a mass for what is lifted, and for nothing else", str(self.mass))
        is_ball = self.item is KitItem.BALL
        if is_ball != (self.diameter_cm is not None and self.rated_kg is not None):
            raise Invalid("diameter", "a diameter and a rated load for balls, and for nothing else", self.item)
        if self.item.has_grade != (self.grade is not None):
            raise Invalid("grade", "a grade for bands, and for nothing else", str(self.grade))
        if self.grade and self.grade.item is not self.item:
            raise Invalid("grade", f"a grade of a {self.item}", self.grade)
        if self.height_cm is not None and self.item is not KitItem.STEP:
            raise Invalid("height", "a height for steps only", self.item)
        if self.pairs and not self.item.has_mass:
            raise Invalid("as", "pairs of what is lifted only", self.item)

    @property
    def pieces(self) -> int:
        """Single pieces a count or an `each` stands for."""
        return (self.count or self.each) * (2 if self.pairs else 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class OptionText:
    """An option as given in the plan: a rung of the ladder, another move's rung, or levers of the coach's own."""

    rung: str = "base"
    levers: tuple[Lever, ...] = ()
    name: str = ""
    entry_test: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SideText:
    """What is different on one side of a cell."""

    dose: Dose | None = None
    tempo: Tempo | None = None
    load: Load | None = None


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class CellText(Brief):
    """What is written for one cell, or for a column of cells; `places` says where each field stands. `lock`: no change
    but the coach's own touches it.

    Two are equal, and may be looked up by each other, when they say the same, wherever that stands in the file.
    """

    where: Where = field(compare=False)
    places: Mapping[str, Where] = field(default_factory=dict, compare=False)
    move: str | None = None
    rung: str | None = None
    levers: tuple[Lever, ...] | None = None
    add: tuple[Lever, ...] = ()
    dose: Dose | None = None
    tempo: Tempo | None = None
    beats_a_minute: float | None = None
    load: Load | None = None
    carry: Carry | None = None
    rest_ms: int | None = None
    sides: SideRule | None = None
    left: SideText | None = None
    right: SideText | None = None
    options: Mapping[OptionKind, OptionText] = field(default_factory=dict, hash=False)
    name: str = ""
    entry_test: str = ""
    cues: tuple[str, ...] = ()
    note: str = ""
    lock: bool = False


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class RoundText(Brief):
    """A round: cells changed against its columns, or against the round it is `like`."""

    where: Where = field(compare=False)
    name: str
    like: str | None = None
    rest_ms: int | None = None
    skip: tuple[str, ...] = ()
    cells: Mapping[str, CellText] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class BlockText(Brief):
    """A block as it is written: its moves are columns, and what it leaves out is None or empty. `waves`: columns that
    are done side by side, each group in as many waves as it has entries, WAVE_RESTS among them. `lock`: no change but
    the coach's own touches anything in it.
    """

    where: Where = field(compare=False)
    kind: BlockKind
    name: str
    say: tuple[str, ...] = ()
    talk_ms: int | None = None
    rest_ms: int | None = None
    round_rest_ms: int | None = None
    columns: Mapping[str, CellText] = field(default_factory=dict)
    rounds: tuple[RoundText, ...] = ()
    waves: tuple[tuple[str, ...], ...] = ()
    lock: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Ref:
    """A place in a plan, 'Main/Three/lunge': a block, one of its rounds, a cell of it, one side of the cell."""

    block: str
    round: str = ""
    cell: str = ""
    side: Side | None = None

    def __post_init__(self) -> None:
        require(bool(self.block), "block", "a block's name", self.block)
        require(bool(self.round or not self.cell), "round", "a round for a cell", self.cell)
        require(bool(self.cell or not self.side), "cell", "a cell for a side", self.side)

    def __str__(self) -> str:
        parts = [self.block, self.round, self.cell, str(self.side or "")]
        return "/".join(part for part in parts if part)


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Plan(Brief):
    """A whole plan file. Two plans are equal when they say the same, wherever it stands in the file.

    `clock` holds only the constants that this coach has set for herself; `places` says where each field stands.
    """

    file: str = field(compare=False)
    title: str
    slot_ms: int
    who: Who
    blocks: tuple[BlockText, ...]
    leader: Leader = field(default_factory=Leader)
    level: Level | None = None
    view: View | None = None
    kit: tuple[Stock, ...] = ()
    sides: SideRule | None = None
    newcomer_rounds: int | None = None
    cut_order: tuple[Ref, ...] = ()
    places: Mapping[str, Where] = field(default_factory=dict, compare=False)
    clock: Mapping[str, int] = field(default_factory=dict)
    cover_notes: str = ""

    def __post_init__(self) -> None:
        require(bool(self.title), "title", "some words", self.title)
        require(300_000 <= self.slot_ms <= 14_400_000, "slot_minutes", "5 to 240 minutes", self.slot_ms)
        require(bool(self.blocks), "block", "at least one [[block]]", "none")
