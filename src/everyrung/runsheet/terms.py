"""The run sheet as a value: flat and frozen, of words and numbers alone, so that whoever shows a session needs no more.

Times are whole ms on the clock of the session. Sides and hands are the participants'. One entry names another by its
place in its list, counted from 0.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Annotated, Literal, NamedTuple

from msgspec import Meta

from everyrung.runsheet.beeps import BeepKind
from everyrung.terms.enums import (
    BlockKind,
    CueKind,
    KitItem,
    Level,
    OptionKind,
    Position,
    Severity,
    Side,
    Sidedness,
    SpanKind,
    Surface,
    View,
)
from everyrung.terms.errors import require
from everyrung.terms.timeline import Track
from everyrung.terms.units import clock_text

VERSION: Literal[1] = 1  # one more when a reader of the one before would misread it

Ms = Annotated[int, Meta(ge=0, description="whole milliseconds")]
Place = Annotated[int, Meta(ge=0, description="a place in a list, counted from 0")]
Part = Annotated[float, Meta(ge=0, le=1, description="a fraction")]
Ten = Annotated[float, Meta(ge=0, le=10, description="0, nothing at all, to 10, the most there is")]


class KitEntry(NamedTuple):
    """Pieces of one item that one person needs."""

    item: KitItem
    pieces: Annotated[int, Meta(ge=1)]


class PhaseEntry(NamedTuple):
    """One phase of a repetition, by the move's own word for it, and its length."""

    name: str
    length_ms: Ms


@dataclass(frozen=True, slots=True, kw_only=True)
class BoutEntry:
    """One stretch of work. `reps` is 0 in a hold; `timed` when the clock ends it and not the count.

    `moves` is the leader's own side in the session's view; `load` is '' for none, `hand` what carries it. `phases` are
    those of one repetition, in the order of time; none in a hold.
    """

    side: Side
    moves: Side
    reps: Annotated[int, Meta(ge=0)]
    duration_ms: Ms
    rep_ms: Ms
    timed: bool
    load: str
    hand: Side | None
    phases: tuple[PhaseEntry, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RungEntry:
    """A rung that a cell offers; `kind` is None for the one that is led.

    `address` names it in the library, 'squat/base'; `dose` and `load` are in words. `entry_test` is the question that
    decides, `form_cue` what to look at first, `self_checks` what to check oneself by, where drawings were computed.
    `figure` is the key of its pictures.
    """

    kind: OptionKind | None
    address: str
    name: str
    grade: int
    position: Position
    surface: Surface
    sides: Sidedness
    dose: str
    load: str
    kit: tuple[KitEntry, ...]
    entry_test: str
    form_cue: str
    self_checks: tuple[str, ...]
    bouts: tuple[BoutEntry, ...]
    figure: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BlockEntry:
    """A block and what is said before its first set."""

    name: str
    kind: BlockKind
    say: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CellEntry:
    """One move in one round; the first of its `rungs` is the one that is led.

    `ref` is its place as a plan file has it, 'Main/Three/lunge'; `round` is '' in a block without rounds.
    `newcomers_rest` says that first-timers are not led through its round.
    """

    ref: str
    block: Place
    round: str
    move: str
    newcomers_rest: bool
    note: str
    rungs: tuple[RungEntry, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SpanEntry:
    """One stretch of the clock. `bout` is that of the cell's first rung, while there is work; `position` and `kit` are
    what holds while it runs.
    """

    at_ms: Ms
    end_ms: Ms
    kind: SpanKind
    block: Place
    cell: Place | None
    bout: Place | None
    position: Position
    kit: tuple[str, ...]
    text: str


class BeepEntry(NamedTuple):
    """One signal, and when it begins."""

    at_ms: Ms
    kind: BeepKind


class CueEntry(NamedTuple):
    """Words that the leader says; their place in the sheet's `words`, and the cell that they are about, if any.

    `rungs`: for whom they are, as places of that cell's rungs; empty for everyone.
    """

    at_ms: Ms
    end_ms: Ms
    kind: CueKind
    words: Place
    cell: Place | None
    rungs: tuple[Place, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class VariantEntry:
    """One way the session can go, from its beginning to its end: which cells are `cut`, and all the rest on the clock.

    `script` has the leader's words by track: for those who come for the first time, and for the others.
    """

    total_ms: Ms
    cut: tuple[Place, ...]
    spans: tuple[SpanEntry, ...]
    beeps: tuple[BeepEntry, ...]
    script: dict[Track, tuple[CueEntry, ...]]

    def __post_init__(self) -> None:
        ends = [0, *(span.end_ms for span in self.spans)]
        starts = [*(span.at_ms for span in self.spans), self.total_ms]
        require(ends == starts, "spans", f"spans without a gap from 0 to {self.total_ms} ms", "a gap")


@dataclass(frozen=True, slots=True, kw_only=True)
class ForkEntry:
    """What "three minutes less" does to variant `of` at `from_ms` or later and before `until_ms`: it goes on as `onto`.

    Up to `until_ms` the spans and beeps of both are the same, so that nothing moves under whoever leads. `cells` go,
    and `talks`, which are blocks without cells; `words` name them. That wins `less_ms`.
    """

    of: Place
    onto: Place
    from_ms: Ms
    until_ms: Ms
    less_ms: Annotated[int, Meta(gt=0)]
    cells: tuple[Place, ...]
    talks: tuple[Place, ...]
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingEntry:
    """What a rule measured, against what limit, and what to do; `place` in words."""

    rule: str
    severity: Severity
    place: str
    measured: str
    limit: str
    source: str
    remedy: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ShareEntry:
    """A part of the simulated people; `low` and `high` hold the model's own error, where it has a part in it."""

    part: Part
    low: Part | None
    high: Part | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RatingEntry:
    """How hard something feels, 0 to 10: the middle answer; four of five lie between `low` and `high`."""

    middle: Ten
    low: Ten
    high: Ten


@dataclass(frozen=True, slots=True, kw_only=True)
class RungForecastEntry:
    """Who finishes one of a cell's rungs, and who is advised to it; `kind` is None for the one that is led."""

    kind: OptionKind | None
    finishing: ShareEntry
    advised: ShareEntry


@dataclass(frozen=True, slots=True, kw_only=True)
class CellForecastEntry:
    """Who finishes some rung of a cell, who is told to hold or skip, and how hard it feels to the others."""

    cell: Place
    some_rung: ShareEntry
    skipping: ShareEntry
    rungs: tuple[RungForecastEntry, ...]
    rating: RatingEntry | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ForecastEntry:
    """A rehearsal before `people` simulated people; `whole` finish every cell with some rung. `kcal`, `met` and `heart`
    are bands in words; `rating` is of the whole session.
    """

    people: int
    mix: str
    seed: int
    whole: ShareEntry
    kcal: str
    met: str
    heart: str
    cells: tuple[CellForecastEntry, ...]
    rating: RatingEntry | None = None


class HelpEntry(NamedTuple):
    """What to do in this room when somebody needs help: 'Defibrillator', and where it is in the coach's own words."""

    name: str
    words: str


class WaveDoes(NamedTuple):
    """What one wave does in a turn: its letter, and the move with its kit, or 'rest'."""

    wave: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WaveEntry:
    """Cells that are done side by side, for kit or wall is not enough for all at once: `who` is in which wave, and what
    each does in turn; there are as many turns as waves, the first ones in the order of the cells. `at_ms` is when each
    turn begins, where the plan is led in waves; else there are no times, for the clock is that of all at once.
    """

    cells: tuple[Place, ...]
    round: str
    people: int
    at_ms: tuple[Ms, ...]
    who: tuple[str, ...]
    turns: tuple[tuple[WaveDoes, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomEntry:
    """The room that it is led in: how many come and how many it holds, who goes where when somebody needs help."""

    name: str
    people: int
    holds: int
    help: tuple[HelpEntry, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LateEntry:
    """One part of the whole session for somebody who comes late: how to come in while it runs, and when its sets begin,
    each with its move.
    """

    at_ms: Ms
    end_ms: Ms
    name: str
    come_in: str
    sets: tuple[tuple[Ms, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LiveEntry:
    """What a session that people follow live online needs: `for_leader` is for the leader, the rest for those at home.

    `alone` is the cool-down of whoever has lost the link for good.
    """

    people: int
    for_leader: tuple[HelpEntry, ...]
    need: tuple[str, ...]
    first_minute: tuple[str, ...]
    ask_first: tuple[str, ...]
    no_picture: tuple[str, ...]
    alone: tuple[str, ...]
    parts: tuple[LateEntry, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RunSheet:
    """A session as it is led. `variants` begin with the whole session; `prefixes` are those that the plan's cut order
    leaves step by step, and `forks` where one can be left for a shorter one while it is led.

    `words` has each of the leader's sayings once. `forecast` is there when an audience was, `room` when one was named,
    `live` when people at home take part live online; `waves` when kit is shared so, or has to be in the room.
    `lip_readers`: the leader faces the room before anything is said.
    """

    version: Literal[1]
    title: str
    slot_ms: Ms
    level: Level
    view: View
    notes: str
    newcomers: bool
    blocks: tuple[BlockEntry, ...]
    cells: tuple[CellEntry, ...]
    words: tuple[str, ...]
    variants: Annotated[tuple[VariantEntry, ...], Meta(min_length=1)]
    prefixes: tuple[Place, ...]
    forks: tuple[ForkEntry, ...]
    findings: tuple[FindingEntry, ...]
    forecast: ForecastEntry | None
    room: RoomEntry | None = None
    live: LiveEntry | None = None
    waves: tuple[WaveEntry, ...] = ()
    lip_readers: bool = False

    def __post_init__(self) -> None:
        for name, places, entries in self._places():
            most = max(places, default=-1)
            require(most < len(entries), name, f"places under {len(entries)}", most)
        for before, after in pairwise(self.prefixes):
            cut, more = (set(self.variants[number].cut) for number in (before, after))
            require(cut <= more, "prefixes", "each with all cuts of the one before", (before, after))

    def _places(self) -> Iterator[tuple[str, Sequence[int], Sequence[object]]]:
        """Every field that names other entries: its places, and the list that they are places in."""
        spans = [span for variant in self.variants for span in variant.spans]
        cues = [cue for variant in self.variants for track in variant.script.values() for cue in track]
        yield "cells.block", [cell.block for cell in self.cells], self.blocks
        yield "spans.block", [span.block for span in spans], self.blocks
        yield "spans.cell", [span.cell for span in spans if span.cell is not None], self.cells
        yield "script.words", [cue.words for cue in cues], self.words
        yield "script.cell", [cue.cell for cue in cues if cue.cell is not None], self.cells
        yield "variants.cut", [cell for variant in self.variants for cell in variant.cut], self.cells
        yield "forks.cells", [cell for fork in self.forks for cell in fork.cells], self.cells
        yield "forks.talks", [block for fork in self.forks for block in fork.talks], self.blocks
        yield "forks", [number for fork in self.forks for number in (fork.of, fork.onto)], self.variants
        yield "prefixes", self.prefixes, self.variants
        yield "waves", [cell for wave in self.waves for cell in wave.cells], self.cells
        yield "forecast.cells", [each.cell for each in self.forecast.cells] if self.forecast else [], self.cells

    def __repr__(self) -> str:
        total = clock_text(self.variants[0].total_ms)
        return (
            f"<run sheet {self.title!r}: {total}, {len(self.cells)} cells, {len(self.variants)} ways to go, "
            f"{len(self.findings)} findings>"
        )
