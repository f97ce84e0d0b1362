"""The harder, the easier and the no-kit version beside a led one: from its own ladder, or from a like move."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from everyrung.checks.rules.cautions import FIRST_GRADE, STRONG_GRADE
from everyrung.moves.alternatives import other_moves
from everyrung.moves.difference import difference
from everyrung.moves.library import Library
from everyrung.plan.bouts import lacking
from everyrung.proposals.columns import PAUSE, SLOW, RungsWithLevers, Version
from everyrung.terms.enums import LoadNeed, Mode, OptionKind
from everyrung.terms.lever import Lever, Reps
from everyrung.terms.move import EASY_GRADE, Move, Rung
from everyrung.terms.plan import OptionText
from everyrung.terms.session_brief import SessionBrief

_ADDED = (PAUSE, SLOW, Reps(added=4))
Options = dict[OptionKind, OptionText]


@dataclass(slots=True, kw_only=True)
class VersionsBeside:
    """The options of led versions; what has been looked up once is known, for a column is drafted many times."""

    brief: SessionBrief
    rungs: RungsWithLevers
    cache: dict[tuple[object, ...], Options] = field(default_factory=dict)

    @property
    def library(self) -> Library:
        return self.rungs.library

    def of(self, move: Move, base: Version) -> Options:
        """The three options of one cell; none where one of them cannot be had."""
        key = (move.key, base.rung.key, base.add, str(base.load), base.more)
        if key not in self.cache:
            self.cache[key] = _three(self.brief, self.rungs, move, base) or {}
        return self.cache[key]


def _three(brief: SessionBrief, rungs: RungsWithLevers, move: Move, base: Version) -> Options | None:
    options: Options = {}
    for kind in OptionKind:
        option = next(_options(brief, rungs, move, base, kind), None)
        if option is None:
            return None
        options[kind] = option
    return options


def _options(
    brief: SessionBrief, rungs: RungsWithLevers, move: Move, base: Version, kind: OptionKind
) -> Iterator[OptionText]:
    """Every version that keeps what its kind promises, those that ask people to change least first."""
    if kind is OptionKind.NO_KIT and not base.variant.needs_kit and not _to_avoid(brief, base.variant):
        yield OptionText(rung=base.rung.key, levers=base.add)
        return
    near = sorted(
        (each for each in _pool(rungs.library, move) if _keeps(brief, move, base, kind, each)),
        key=lambda each: _distance(base.variant, each),
    )
    if kind is not OptionKind.HARDER:
        order = near if kind is OptionKind.NO_KIT else sorted(near, key=_asks_of_people)
        yield from (_text(move, each, _fewer(base, each) if kind is OptionKind.EASIER else ()) for each in order)
        return
    yield from (_text(move, each) for each in near if each.move == move.key)
    yield from _harder_by_lever(rungs, move, base)
    yield from (_text(move, each) for each in near if each.move != move.key)


def _pool(library: Library, move: Move) -> Iterable[Rung]:
    """Versions of the move and of like ones; of a pattern with none for everybody, of the one beside it too."""
    others = list(other_moves(library, move))
    alike = [*move.versions, *(rung for far, other in others if far == 1 for rung in other.versions)]
    if any(not any(_asks_of_people(rung)) for rung in alike):
        return alike
    return [*alike, *(rung for far, other in others if far > 1 for rung in other.versions)]


def _asks_of_people(rung: Rung) -> tuple[bool, ...]:
    """Whether somebody may have to avoid it, may have no kit for it, or may not be strong enough: the easier version is
    for whoever can do no other, and nobody knows beforehand who that is.
    """
    return bool(rung.cautions), rung.needs_kit, rung.grade > EASY_GRADE


def _keeps(brief: SessionBrief, move: Move, base: Version, kind: OptionKind, other: Rung) -> bool:
    """Whether a rung is there for whoever needs this kind: its grade, its kit, and what some have to avoid."""
    if (other.move, other.key) == (move.key, base.rung.key) and not base.add:
        return False
    if kind is OptionKind.HARDER:
        above = other.move != move.key or _place(move, other) > _place(move, base.rung)
        return above and other.grade >= base.variant.grade and not lacking(other, brief.kit) and _same_load(base, other)
    highest = FIRST_GRADE if brief.newcomers and base.variant.grade >= STRONG_GRADE else base.variant.grade
    if base.variant.cautions:
        highest = max(highest, EASY_GRADE)  # what is easy anyhow, for whoever has to avoid what is led
    is_another = other.move != move.key or other.form.move != move.key
    below = other.grade < base.variant.grade or is_another or _place(move, other) < _place(move, base.rung)
    if other.grade > highest or not (below or kind is OptionKind.NO_KIT) or _to_avoid(brief, other):
        return False
    if kind is OptionKind.NO_KIT:
        return not other.needs_kit
    return not lacking(other, brief.kit) and _same_load(base, other)


def _same_load(base: Version, other: Rung) -> bool:
    """Whether the load of the led set, or nothing, is enough: a heavier one would have to be asked about."""
    return other.form.load is LoadNeed.NONE or other.form.load is base.variant.form.load


def _to_avoid(brief: SessionBrief, rung: Rung) -> bool:
    """Whether somebody who comes has to avoid it; nobody is sent to the floor who is not led there."""
    return bool(set(rung.cautions) & set(brief.limits)) or (rung.form.position.on_floor and not brief.floor)


def _place(move: Move, rung: Rung) -> int:
    return [each.key for each in move.versions].index(rung.key)


def _distance(base: Rung, other: Rung) -> tuple[int, ...]:
    """How much another version asks people to change, the gravest first."""
    change = difference(base, other)
    return change.to_floor, other.move != base.move, change.floor, change.mode, change.grades, change.surface


def _fewer(base: Version, other: Rung) -> tuple[Lever, ...]:
    """Who takes the easier version does in every round as many as in the first."""
    counts = not base.by_clock and Mode.HOLD not in (base.variant.form.mode, other.form.mode)
    return (Reps(added=-base.more),) if base.more > 0 and counts else ()


def _text(move: Move, rung: Rung, levers: tuple[Lever, ...] = ()) -> OptionText:
    return OptionText(rung=rung.key if rung.move == move.key else f"{rung.move}/{rung.key}", levers=levers)


def _harder_by_lever(rungs: RungsWithLevers, move: Move, base: Version) -> Iterator[OptionText]:
    for lever in _ADDED:
        if any(each.word == lever.word for each in base.add) or (
            lever.word == "pause" and base.variant.form.tempo.bottom_ms
        ):
            continue
        levers = (*base.add, lever)
        variant = rungs.of(move.key, base.rung.key, levers)
        if variant and variant.grade >= base.variant.grade:
            yield OptionText(rung=base.rung.key, levers=levers)
