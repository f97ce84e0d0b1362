"""A way through the whole session for somebody who has to avoid something: in each cell the nearest version without it.

First what the cell offers, then another rung of the same ladder, then another move in its place; only with kit that is
there. What stays without a version is said, with what would include this person.
"""

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping
from enum import StrEnum
from itertools import combinations

from everyrung.moves.alternatives import alternatives, other_moves
from everyrung.moves.library import Library
from everyrung.terms.brief import Brief
from everyrung.terms.enums import Caution, KitItem, OptionKind, Position, Severity
from everyrung.terms.finding import Finding, name_list
from everyrung.terms.frozen import dataclass
from everyrung.terms.move import Rung
from everyrung.terms.plan import Ref
from everyrung.terms.session import Cell, Session

MOST_OFFERS = 4  # named in a finding; chosen, because more are not kept in mind
LEGS = ("hip", "thigh", "calf", "buttock", "knee", "ankle")  # in what a move works
AT_ONCE = 3  # cautions that are tried together; chosen, because few people name more
Limits = frozenset[Caution]


class Source(StrEnum):
    """Where a version comes from: who takes it, or who has to choose it beforehand."""

    LED = "as led"
    OFFERED = "offered"
    LADDER = "same ladder"
    OTHER_MOVE = "another move"


IN_PLAN = (Source.LED, Source.OFFERED)


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Step(Brief):
    """What a person does in a cell: a rung and where it comes from; None where nothing is there for them."""

    cell: Cell
    rung: Rung | None
    source: Source | None


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Coverage(Brief):
    """All sets of cautions by all cells: how many are met by each source; `beyond` are those that need what the plan
    does not offer, `left_out` those that nothing meets. `whole` sets have a way through all cells, `whole_offered` by
    what the plan offers.
    """

    sets: int
    cells: int
    by_source: Mapping[Source, int]
    beyond: tuple[tuple[Limits, Cell], ...]
    left_out: tuple[tuple[Limits, Cell], ...]
    whole: int
    whole_offered: int

    @property
    def count(self) -> int:
        """Sets of cautions times cells."""
        return self.sets * self.cells


def choices(session: Session, library: Library, cell: Cell) -> tuple[tuple[Source, Rung], ...]:
    """All that somebody may be given in a cell with the kit that is there, the nearest to what is led first; without
    those that have all the cautions of a nearer one, for they are never taken.
    """
    kit = _kit(session)
    options = [option.rung for kind in _ORDER for option in cell.options if option.kind is kind]
    near = [(Source.LED, cell.rung), *((Source.OFFERED, one) for one in options)]
    near += [(Source.LADDER, one) for one in _nearest(cell.rung, cell.move.versions) if has_kit(one, kit)]
    for _, move in sorted(other_moves(library, cell.move), key=lambda each: each[0]):
        own = [one for one in move.ladder if one.form.move == move.key and has_kit(one, kit)]
        near += [(Source.OTHER_MOVE, one) for one in _nearest(cell.rung, own)]
    nearest: list[tuple[Source, Rung]] = []
    for source, one in near:
        if not any(set(nearer.cautions) <= set(one.cautions) for _, nearer in nearest):
            nearest.append((source, one))
    return tuple(nearest)


def first_choices(session: Session, library: Library, cell: Cell) -> tuple[tuple[Source, Rung], ...]:
    """The same for somebody who is there for the first time: the easier versions that are offered go before all."""
    easier = ((Source.OFFERED, option.rung) for option in cell.options if option.kind is OptionKind.EASIER)
    return (*easier, *choices(session, library, cell))


def _nearest(rung: Rung, others: Iterable[Rung]) -> list[Rung]:
    """Those that are no harder first, then by how far their grade is."""
    return sorted(others, key=lambda one: (one.grade > rung.grade, abs(one.grade - rung.grade)))


_ORDER = (OptionKind.EASIER, OptionKind.NO_KIT, OptionKind.HARDER)


def has_kit(rung: Rung, kit: Collection[KitItem]) -> bool:
    """Whether a kind of kit is there for each of its needs; a wall and a mat always are."""
    return all(any(need.is_met_by(item) for item in kit) for need in rung.kit if need.item.counts_as_kit)


def path(session: Session, library: Library, avoid: Collection[Caution]) -> tuple[Step, ...]:
    """A step for each cell that is led."""
    return tuple(_step(session, library, cell, frozenset(avoid)) for cell in session.cells)


def _step(session: Session, library: Library, cell: Cell, avoid: Limits) -> Step:
    way = choices(session, library, cell)
    source, rung = next(((source, one) for source, one in way if not avoid & set(one.cautions)), (None, None))
    return Step(cell=cell, rung=rung, source=source)


def seated_path(session: Session, library: Library) -> tuple[Step, ...]:
    """A step for each cell for somebody who stays seated, with the kit that is there and a seat."""
    return tuple(seated_step(session, library, cell) for cell in session.cells)


def seated_step(session: Session, library: Library, cell: Cell) -> Step:
    """The nearest seated version: as led, offered, of the same ladder; then, of other moves, the one that works most of
    the same, those of its pattern first.
    """
    kit = {*_kit(session), KitItem.CHAIR}
    near = [(Source.LED, cell.rung), *((Source.OFFERED, one.rung) for one in cell.options)]
    near += [(Source.LADDER, one) for one in _nearest(cell.rung, cell.move.versions)]
    near += [(Source.OTHER_MOVE, one) for one in _works_the_same(library, cell)]
    for source, one in near:
        if one.form.position is Position.SEATED and has_kit(one, kit):
            return Step(cell=cell, rung=one, source=source)
    return Step(cell=cell, rung=None, source=None)


def _works_the_same(library: Library, cell: Cell) -> list[Rung]:
    """Seated rungs of its kind: of its pattern, then of one beside it, then of any; of those the ones that work most of
    the same, then those of the same half of the body, nearest in grade.
    """
    own = set(cell.move.focus)
    beside = {move.key: far for far, move in other_moves(library, cell.move)}

    def rank(rung: Rung) -> tuple[int, int, bool, int, str]:
        focus = set(library.move(rung.move).focus)
        other_half = _for_legs(own) != _for_legs(focus)
        return beside.get(rung.move, 3), -len(own & focus), other_half, abs(rung.grade - cell.rung.grade), rung.address

    moves = (move for move in map(library.move, library.keys) if move.kind is cell.move.kind)
    on_seat = [one for move in moves for one in move.ladder if one.form.position is Position.SEATED]
    rungs = [one for one in on_seat if one.form.move == one.move]  # a swap is another move's own rung
    return sorted(rungs, key=rank)


def _for_legs(focus: Collection[str]) -> bool:
    return any(word in each for each in focus for word in LEGS)


def caution_sets() -> Iterator[Limits]:
    """All sets of three cautions."""
    return (frozenset(each) for each in combinations(Caution, AT_ONCE))


def coverage(session: Session, library: Library) -> Coverage:
    """Every set of three cautions through the whole session."""
    counts = dict.fromkeys(Source, 0)
    beyond: list[tuple[Limits, Cell]] = []
    left_out: list[tuple[Limits, Cell]] = []
    sets = list(caution_sets())
    whole = whole_offered = 0
    by_cell = {cell.ref: _sources(session, library, cell, sets) for cell in session.cells}
    for at, avoid in enumerate(sets):
        sources = [by_cell[cell.ref][at] for cell in session.cells]
        for cell, source in zip(session.cells, sources, strict=True):
            if source is None:
                left_out.append((avoid, cell))
            else:
                counts[source] += 1
                beyond += [(avoid, cell)] if source not in IN_PLAN else []
        whole += None not in sources
        whole_offered += all(source in IN_PLAN for source in sources)
    return Coverage(
        sets=len(sets),
        cells=len(by_cell),
        by_source=counts,
        beyond=tuple(beyond),
        left_out=tuple(left_out),
        whole=whole,
        whole_offered=whole_offered,
    )


def _sources(session: Session, library: Library, cell: Cell, sets: list[Limits]) -> list[Source | None]:
    """For each set where its version comes from."""
    way = [(source, frozenset(one.cautions)) for source, one in choices(session, library, cell)]
    return [next((source for source, cautions in way if not avoid & cautions), None) for avoid in sets]


def _kit(session: Session) -> frozenset[KitItem]:
    return frozenset(stock.item for stock in session.kit)


def path_findings(session: Session, library: Library, one: Coverage) -> tuple[Finding, ...]:
    """Who is left out of which cell, and what would include them; and who needs what the plan does not offer."""
    return (*_all_left_out(library, one), *_not_offered(session, library, one))


def _all_left_out(library: Library, one: Coverage) -> tuple[Finding, ...]:
    sets: dict[Ref, list[Limits]] = {}
    for avoid, cell in one.left_out:
        sets.setdefault(cell.ref, []).append(avoid)
    cells = {cell.ref: cell for _, cell in one.left_out}
    return tuple(_left_out(library, cell, sets[ref]) for ref, cell in cells.items())


def _left_out(library: Library, cell: Cell, sets: list[Limits]) -> Finding:
    least = min(sets, key=lambda each: sorted(map(str, each)))
    needs = sorted({_kit_words(library, cell, avoid) for avoid in sets} - {""})
    within = [one for one in Caution if all(one in each for each in sets)]
    who = f"always with {name_list(map(str, within))}" if within else f"such as {name_list(sorted(map(str, least)))}"
    remedy = f"Have {name_list(needs)} there." if needs else "Say before it what they do meanwhile: march, or rest."
    return Finding(
        rule="path-missing",
        severity=Severity.WARNING,
        where=cell.where,
        places=(cell.ref,),
        measured=f"{len(sets)} sets of three cautions have no version here, {who}",
        limit="a version for each person who can come",
        source="the library's rungs and moves with the plan's kit",
        remedy=remedy,
    )


def _kit_words(library: Library, cell: Cell, avoid: Limits) -> str:
    """The kit of the nearest version that would do if all kit were there; '' where none would."""
    own = [one for one in cell.move.versions if not avoid & set(one.cautions)]
    others = own or list(alternatives(library, cell.rung, avoid=avoid))
    return " and ".join(str(need.item) for need in others[0].kit if need.item.counts_as_kit) if others else ""


def _not_offered(session: Session, library: Library, one: Coverage) -> Iterator[Finding]:
    """One finding: how many sets of cautions the plan's own versions leave out somewhere, and what helps most."""
    if not one.beyond:
        return
    helps = Counter[tuple[str, str]]()
    cells = {cell.ref: cell for _, cell in one.beyond}
    for avoid, cell in one.beyond:
        step = _step(session, library, cell, avoid)
        if step.rung:
            helps[cell.move.name, step.rung.address] += 1
    names = [f"{address} in {move} ({count})" for (move, address), count in helps.most_common(MOST_OFFERS)]
    yield Finding(
        rule="path-not-offered",
        severity=Severity.NOTE,
        where=session.where,
        places=tuple(cells),
        measured=f"{one.sets - one.whole_offered} of {one.sets} sets of three cautions need what is not offered",
        limit="a version among those that are offered, for each person who can come",
        source="the plan's own options",
        remedy=f"Know these before the class, in brackets how many sets of cautions each meets: {', '.join(names)}.",
    )
