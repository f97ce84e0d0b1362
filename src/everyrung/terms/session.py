"""The clock constants of one coach: how long everything between the work takes.

A session: a plan with nothing left open.
"""

from collections.abc import Iterator, Mapping
from dataclasses import fields, replace

from everyrung.terms.brief import Brief
from everyrung.terms.enums import BlockKind, Level, OptionKind, Side, SideRule, View
from everyrung.terms.errors import Where, require
from everyrung.terms.frozen import dataclass
from everyrung.terms.move import Move, Rung
from everyrung.terms.person import Person
from everyrung.terms.plan import WAVE_RESTS, Ref, Stock, Who
from everyrung.terms.units import Dose, Load, Tempo


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Clock(Brief):
    """Times in ms and one speaking rate; the defaults with their sources stand in tables/clock.csv."""

    talk_wpm: int
    explain_first_ms: int
    explain_change_ms: int
    explain_same_ms: int
    explain_follow_ms: int
    settle_ms: int
    count_in_ms: int
    side_switch_ms: int
    hand_change_ms: int
    down_to_floor_ms: int
    up_from_floor_ms: int
    turn_over_ms: int
    dumbbells_ms: int
    kettlebell_ms: int
    medicine_ball_ms: int
    ball_ms: int
    band_ms: int
    mini_band_ms: int
    chair_ms: int
    table_ms: int
    step_ms: int
    sliders_ms: int
    wall_ms: int
    rest_ms: int
    round_rest_ms: int

    def __post_init__(self) -> None:
        for each in fields(self):
            value = getattr(self, each.name)
            low, high = (60, 240) if each.name == "talk_wpm" else (0, 14_400_000)
            require(isinstance(value, int) and low <= value <= high, each.name, f"{low} to {high}", value)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bout:
    """One timed stretch of one rung on one side. `reps` is 0 for a hold; alternating reps count both sides."""

    side: Side
    reps: int
    duration_ms: int
    tempo: Tempo
    rep_ms: int
    load: Load | None
    load_side: Side | None

    def __post_init__(self) -> None:
        require(self.reps >= 0, "reps", "0 repetitions or more", self.reps)
        require(self.duration_ms > 0, "duration_ms", "more than 0 ms", self.duration_ms)
        require(self.rep_ms >= self.tempo.rep_ms, "rep_ms", "at least the tempo's time", self.rep_ms)
        require(self.reps * self.rep_ms <= self.duration_ms, "reps", "repetitions that fit the time", self.reps)
        loads = self.load is not None
        require(loads == (self.load_side is not None), "load_side", "a hand for a load, and only then", self.load_side)


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Option(Brief):
    """Another rung for the same cell; `given` when the plan names it, else inherited from the ladder."""

    kind: OptionKind
    rung: Rung
    dose: Dose
    bouts: tuple[Bout, ...]
    given: bool

    @property
    def load(self) -> Load | None:
        return self.bouts[0].load


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Cell(Brief):
    """One move in one round. `lock`: the coach wants it as it is; `beats_a_minute`: of the music that its repetitions
    keep time with, 0 for none.
    """

    ref: Ref
    where: Where
    move: Move
    rung: Rung
    dose: Dose
    side_rule: SideRule
    bouts: tuple[Bout, ...]
    rest_ms: int
    options: tuple[Option, ...]
    note: str
    lock: bool = False
    beats_a_minute: float = 0.0

    def __post_init__(self) -> None:
        require(1 <= len(self.bouts) <= 2, "bouts", "one or two bouts", len(self.bouts))
        require(self.rest_ms >= 0, "rest_ms", "0 ms or more", self.rest_ms)

    def option(self, kind: OptionKind) -> Option | None:
        return next((option for option in self.options if option.kind is kind), None)


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Round(Brief):
    """One round of a block; `rest_ms` is the rest after it, if another follows. `waves`: columns that are done side by
    side, in as many waves as there are entries; 'rest' where a wave has nothing to do.
    """

    name: str
    where: Where
    cells: tuple[Cell, ...]
    rest_ms: int
    waves: tuple[tuple[str, ...], ...] = ()

    def __post_init__(self) -> None:
        require(self.rest_ms >= 0, "rest_ms", "0 ms or more", self.rest_ms)

    def group_of(self, column: str) -> tuple[str, ...]:
        """The columns that are done side by side with one of them, itself among them."""
        return next((group for group in self.waves if column in group), (column,))


def in_waves(each: Round, waves: tuple[tuple[str, ...], ...]) -> Round:
    """A round with the groups of which it has a cell, in the order in which it is done then: a group begins where its
    first column stands; whoever would do one that this round skips, rests.
    """
    cells = {cell.ref.cell: cell for cell in each.cells}
    here = (tuple(key if key in cells else WAVE_RESTS for key in group) for group in waves)
    anew = replace(each, waves=tuple(group for group in here if set(group) & set(cells)))
    keys = dict.fromkeys(key for column in cells for key in anew.group_of(column))
    return replace(anew, cells=tuple(cells[key] for key in keys if key in cells))


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Block(Brief):
    """A block; `talk_ms` is what is said before its first move (for an announcement, all of it). `lock`: the coach
    wants all of it as it is.
    """

    kind: BlockKind
    name: str
    where: Where
    say: tuple[str, ...]
    talk_ms: int
    rounds: tuple[Round, ...]
    lock: bool = False

    def __post_init__(self) -> None:
        require(bool(self.name), "name", "a name", self.name)
        require(self.talk_ms >= 0, "talk_ms", "0 ms or more", self.talk_ms)

    @property
    def cells(self) -> Iterator[Cell]:
        return (cell for each in self.rounds for cell in each.cells)


@dataclass(frozen=True, slots=True, kw_only=True)
class Default:
    """A value that the plan left open, what was taken, and why."""

    where: Where
    field: str
    value: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Session(Brief):
    """Everything decided. `blocks` are led in order; `reserve` waits until the clock has room."""

    file: str
    where: Where
    title: str
    slot_ms: int
    slot_source: str
    level: Level
    view: View
    who: Who
    leader: Person
    kit: tuple[Stock, ...]
    blocks: tuple[Block, ...]
    reserve: tuple[Block, ...]
    newcomer_rounds: int
    cut_order: tuple[Ref, ...]
    places: Mapping[str, Where]
    clock: Clock
    cover_notes: str
    defaults: tuple[Default, ...]

    def place(self, field: str) -> Where:
        """Where a field of the plan's head is written; the head itself when it is not."""
        return self.places.get(field, self.where)

    @property
    def cells(self) -> Iterator[Cell]:
        """Every cell that is led, in order; the reserve is not."""
        return (cell for block in self.blocks for cell in block.cells)

    def of_kind(self, kind: BlockKind) -> tuple[Block, ...]:
        return tuple(block for block in self.blocks if block.kind is kind)

    def cells_of(self, kind: BlockKind) -> tuple[Cell, ...]:
        """The cells of all blocks of a kind, in order."""
        return tuple(cell for block in self.of_kind(kind) for cell in block.cells)
