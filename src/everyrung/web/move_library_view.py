"""What the Moves screen shows: the library by what one looks for, a ladder on a chosen body, and a rung being built."""

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from everyrung.checks.difficulty import Measure, SetDemand, measures, words
from everyrung.checks.focus import efforts
from everyrung.effort.uncertainty import effort_between, from_memory, part_between
from everyrung.moves.lever_words import lever_phrase, read_lever
from everyrung.moves.library import Library
from everyrung.moves.trade_names import moves_by_name
from everyrung.parsing.body_size import body_mass, stature
from everyrung.terms.demand import RungDemand
from everyrung.terms.enums import KitItem, Pattern, Position
from everyrung.terms.errors import Invalid, or_list
from everyrung.terms.lever import Lever
from everyrung.terms.move import Move, Rung
from everyrung.terms.person import BodySize, Sex
from everyrung.web.form_values import with_unit

NO_KIT = "none"
MOST_LEVERS = 6  # on one rung; chosen, because more than two changes at once is no step any more, and six is a spree
MOST_LETTERS = 60  # of what is looked for; chosen, because no name is longer
MOST_WORDS = 3  # of what works; chosen, because a coach names no more
USUAL = {"sex": "female", "stature": "165 cm", "mass": "62 kg"}


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveFilter:
    """What is looked for; '' for anything. `words`: a name, or part of one, as the trade or a coach says it."""

    words: str = ""
    focus: str = ""
    kit: str = ""
    position: str = ""


def read_filter(fields: Mapping[str, str]) -> MoveFilter:
    """From an address; words that are none count as nothing said."""
    words = fields.get("words", "")[:MOST_LETTERS]
    return MoveFilter(
        words=words, focus=fields.get("focus", ""), kit=fields.get("kit", ""), position=fields.get("position", "")
    )


def filter_moves(library: Library, choice: MoveFilter) -> tuple[Move, ...]:
    """The moves with a rung that fits, in the library's order of patterns."""
    every = [library.move(key) for key in library.keys]
    moves = moves_by_name(library, choice.words) if choice.words.strip() else every
    return tuple(move for move in moves if _fits(move, choice))


def _fits(move: Move, choice: MoveFilter) -> bool:
    if choice.focus and choice.focus not in move.focus:
        return False
    return any(_stands(rung, choice) and _with(rung, choice.kit) for rung in move.versions)


def _stands(rung: Rung, choice: MoveFilter) -> bool:
    return not choice.position or str(rung.form.position) == choice.position


def _with(rung: Rung, kit: str) -> bool:
    """Every ladder has some rung without kit, so "no kit" asks for moves that need none in their usual form."""
    items = {str(need.item) for need in rung.kit if need.item.counts_as_kit}
    return not kit or (rung.key == "base" and not items if kit == NO_KIT else kit in items)


def choices(library: Library) -> dict[str, list[str]]:
    """All that can be looked for."""
    moves = [library.move(key) for key in library.keys]
    rungs = [rung for move in moves for rung in move.versions]
    kit = {need.item for rung in rungs for need in rung.kit if need.item.counts_as_kit}
    return {
        "focus": sorted({focus for move in moves for focus in move.focus}),
        "kit": [NO_KIT, *(str(item) for item in KitItem if item in kit)],
        "position": [str(each) for each in Position if any(rung.form.position is each for rung in rungs)],
    }


def body(fields: Mapping[str, str]) -> BodySize:
    """The chosen body. Raises Invalid in words."""
    values = {name: with_unit(name, fields.get(name, "").strip()) or usual for name, usual in USUAL.items()}
    if values["sex"] not in [each.value for each in Sex]:
        raise Invalid("sex", or_list(each.value for each in Sex), values["sex"])
    return BodySize(
        sex=Sex(values["sex"]),
        stature_m=_parse_field(values, "stature", stature),
        mass_kg=_parse_field(values, "mass", body_mass),
    )


def _parse_field(values: Mapping[str, str], field: str, parse: Callable[[str], float]) -> float:
    try:
        return parse(values[field])
    except Invalid as problem:
        raise Invalid(field, problem.expected, problem.got) from None


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One rung on one body: `part` is what it needs of the hardest joint's strength, None where it is not known, and
    `between` where that lies in four of five cases; `unsure` when that strength is from memory. `works` has each muscle
    group's effort with its band, and so have they.
    """

    rung: Rung
    figure: str
    part: float | None
    joint: str
    works: tuple[tuple[str, float, tuple[float, float]], ...]
    why: str
    between: tuple[float, float] = (0.0, 0.0)
    unsure: bool = False


def step(rung: Rung, figure: str, demand: RungDemand | str) -> Step:
    """A rung with what was computed of it."""
    if isinstance(demand, str):
        return Step(rung=rung, figure=figure, part=None, joint="", works=(), why=demand)
    hardest = demand.hardest
    return Step(
        rung=rung,
        figure=figure,
        part=hardest.fraction if hardest else 0.0,
        joint=words(hardest.motion) if hardest else "",
        between=part_between(hardest.fraction, hardest.motion) if hardest else (0.0, 0.0),
        unsure=hardest is not None and from_memory(hardest.motion),
        works=tuple((name, part, effort_between(part)) for name, part in list(efforts([demand]).items())[:MOST_WORDS]),
        why="" if demand.feasible else "This body can't do it as described: " + "; ".join(demand.shortfalls[:2]),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class DraftRung:
    """A rung that is being built: where it starts, what was put on, and the result."""

    start: Rung
    levers: tuple[Lever, ...]
    tables: tuple[str, ...]
    rung: Rung

    @property
    def phrases(self) -> tuple[str, ...]:
        return tuple(map(lever_phrase, self.levers))

    @property
    def is_on_ladder(self) -> bool:
        """Whether the ladder has this rung already."""
        return "+" not in self.rung.key


def draft_rung(library: Library, move: str, rung: str, tables: Sequence[str]) -> DraftRung:
    """A library rung with levers on. Raises Invalid when they contradict, or when there are too many."""
    if len(tables) > MOST_LEVERS:
        raise Invalid("levers", f"at most {MOST_LEVERS} levers on one rung", len(tables))
    levers = tuple(_lever(each) for each in tables)
    start = library.rung(move, rung)
    return DraftRung(
        start=start,
        levers=levers,
        tables=tuple(tables),
        rung=library.custom_rung(move, rung, levers) if levers else start,
    )


def _lever(table: str) -> Lever:
    try:
        value = json.loads(table[:200])
    except (ValueError, RecursionError):
        raise Invalid("levers", "a lever's table", table[:60]) from None
    return read_lever(value)


def compare(before: RungDemand | str, after: RungDemand | str) -> tuple[tuple[str, Measure], ...]:
    """Every measure of the two, with the verdict in a word; nothing where one of them is not known."""
    if isinstance(before, str) or isinstance(after, str):
        return ()
    one, other = (SetDemand(demand=each, reps=1, lasting_s=each.rep_ms / 1000) for each in (before, after))
    return tuple((_verdict(measure), measure) for measure in measures(one, other))


def _verdict(measure: Measure) -> str:
    return "harder" if measure.harder else "easier" if measure.easier else "the same"


def in_patterns(moves: Sequence[Move]) -> Iterator[tuple[str, tuple[Move, ...]]]:
    """Grouped by what they train, in the order of the vocabulary."""
    for pattern in Pattern:
        of_it = tuple(move for move in moves if move.pattern is pattern)
        if of_it:
            yield str(pattern), of_it
