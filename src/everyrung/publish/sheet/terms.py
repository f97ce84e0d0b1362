"""What a run sheet says, in words and ready to set: the one source of its page and of its print."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class KindSum:
    """Time spent on one kind of thing; `share` is in per cent of what is on the clock."""

    kind: str
    time: str
    share: int


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundLine:
    """A finding; of a note only the place and the remedy are said."""

    severity: str
    place: str
    what: str
    remedy: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class KitLine:
    """One thing to bring; empty where it does not apply. Pieces are single pieces, never pairs added up in weight."""

    what: str
    each: str
    room: str
    listed: str
    cells: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FigureLine:
    """The picture of a rung, once; sets and options show it by its number."""

    number: int
    name: str
    svg: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OptionLine:
    """`figure` is a picture's number, 0 for none."""

    kind: str
    name: str
    test: str
    figure: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class CellLine:
    """One set. What an earlier set of its block has said is not said again: the note is left out, and where the options
    are the same `as_in` is that set's number, else 0. `say` is what the leader says of kit, side, caution and form.
    """

    number: int
    time: str
    name: str
    test: str
    dose: str
    sides: str
    tempo: str
    load: str
    note: str
    options: tuple[OptionLine, ...]
    as_in: int
    figure: int = 0
    say: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundPart:
    name: str
    time: str
    newcomers: str
    cells: tuple[CellLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BlockPart:
    name: str
    kind: str
    time: str
    length: str
    say: tuple[str, ...]
    rounds: tuple[RoundPart, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CueLine:
    kind: str
    said: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class MovePart:
    """A move, once: its cues by kind and what to be careful of, with the rungs that avoid it."""

    name: str
    cells: str
    cues: tuple[CueLine, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CoverRow:
    """One move of a block for the cover coach: a dose for each round, empty where the round leaves it out; `kit` is
    what is fetched or put down for it, `without` what people without kit do instead where they do, `figure` its
    picture's number, 0 for none.
    """

    name: str
    doses: tuple[str, ...]
    kit: str = ""
    without: str = ""
    figure: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class CoverBlock:
    """A block with several rounds in rows, any other in one sentence."""

    name: str
    time: str
    rounds: tuple[str, ...]
    rows: tuple[CoverRow, ...]
    said: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Cover:
    """What a coach who stands in needs at a glance.

    `lines` in the order of reading: who takes what instead, when to stop, what to cut, the plan's own notes.
    """

    blocks: tuple[CoverBlock, ...]
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RefitLine:
    """What fitting the session to another slot did to it."""

    headline: str
    lost: tuple[str, ...]
    kept: tuple[str, ...]
    gained: tuple[str, ...]
    problem: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    title: str
    facts: tuple[str, ...]
    slot: str
    sums: tuple[KindSum, ...]
    found: tuple[FoundLine, ...]
    notes: tuple[FoundLine, ...]
    instead: tuple[str, ...]
    refit: RefitLine | None
    view: str
    newcomers: str
    kit: tuple[KitLine, ...]
    kit_notes: tuple[str, ...]
    blocks: tuple[BlockPart, ...]
    reserve: tuple[BlockPart, ...]
    moves: tuple[MovePart, ...]
    figures: tuple[FigureLine, ...]
    cover: Cover
    stop_signs: tuple[str, ...]
    room: tuple[str, ...] = ()
