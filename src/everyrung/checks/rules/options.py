"""Every strength move is open to everyone: three options, and a short test before each rung."""

from collections.abc import Iterable, Iterator, Sequence

from everyrung.checks.cells import and_list, group_by_column, move_words, refs, strength_cells
from everyrung.checks.kit_needs import people_without
from everyrung.checks.rule import TIMELINE, rule
from everyrung.moves.entry_tests import ROUND_BEFORE, count_asked
from everyrung.plan.bouts import lacking
from everyrung.terms.enums import OptionKind, Severity
from everyrung.terms.errors import or_list
from everyrung.terms.finding import Finding, name_list
from everyrung.terms.move import EASY_GRADE, MAX_ENTRY_TEST_WORDS, Rung
from everyrung.terms.session import Cell, Option, Session
from everyrung.terms.timeline import Timeline


@rule(TIMELINE)
def option_missing(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """Every cell of a main or reserve block has a harder, an easier and a no-kit option.

    Severity: warning
    Limit: 3 options a cell
    Source: chosen, because a rung for everyone is what the session promises
    """
    for cells, missing in group_by_column((cell, lack) for cell in strength_cells(session) if (lack := _missing(cell))):
        without = max(people_without(session, cell) for cell in cells) if OptionKind.NO_KIT in missing else 0
        consequence = f"; {without} people have no kit for it and nothing else to do" if without else ""
        yield Finding(
            rule=option_missing.id,
            severity=Severity.WARNING,
            where=cells[0].where,
            places=refs(cells),
            measured=f"no {or_list(missing)} option for {cells[0].rung.name!r}: {3 - len(missing)} of 3{consequence}",
            limit="3 options: harder, easier and no-kit",
            source=option_missing.source,
            remedy=f"Choose {_a(missing[0])} option for the {move_words(cells[0])}, or lead a rung "
            f"{'lower' if missing[0] is OptionKind.HARDER else 'higher'} on its ladder.",
            hint=f"Write {missing[0].field} for {cells[0].ref.cell}.",
        )


@rule(TIMELINE)
def entry_test(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """Every rung and option of a main or reserve block has an entry test of under ten words, and one that begins with
    a count asks no more than somebody did in the round before.

    Severity: warning
    Limit: 1 to 9 words; a count of the round before
    Source: chosen, because a test said in one breath is asked, and a count that nobody did has no answer
    """
    yield from _wordy(session)
    yield from _beyond_what_was_done(session)


def _wordy(session: Session) -> Iterator[Finding]:
    troubles = ((cell, rung) for cell in strength_cells(session) for rung in _without_test(cell))
    for cells, (name, words) in group_by_column((cell, (rung.name, _words(rung))) for cell, rung in troubles):
        yield _question_finding(
            cells,
            name,
            got=f"{name!r} has an entry test of {words} words" if words else f"{name!r} has none (0 words)",
            limit=f"1 to {MAX_ENTRY_TEST_WORDS} words",
            remedy=f"{'Shorten' if words else 'Write'} the entry test for {move_words(cells[0])}: a question people "
            f"can answer about themselves, at most {MAX_ENTRY_TEST_WORDS} words.",
        )


def _beyond_what_was_done(session: Session) -> Iterator[Finding]:
    for cells, (name, count, most) in group_by_column(_counts_not_done(session)):
        yield _question_finding(
            cells,
            name,
            got=f"the entry test of {name!r} begins with {count}, and {most} were the most in the round before",
            limit=f"at most {most}",
            remedy=f"Ask {move_words(cells[0])} for what was just done, or for how it felt: {ROUND_BEFORE!r}",
        )


def _question_finding(cells: Sequence[Cell], name: str, *, got: str, limit: str, remedy: str) -> Finding:
    return Finding(
        rule=entry_test.id,
        what=name,
        severity=Severity.WARNING,
        where=cells[0].where,
        places=refs(cells),
        measured=got,
        limit=limit,
        source=entry_test.source,
        remedy=remedy,
        hint=f"It is entry_test of {cells[0].ref.cell}.",
    )


def _counts_not_done(session: Session) -> Iterator[tuple[Cell, tuple[str, int, int]]]:
    """Cells whose questions begin with a greater count than any version of the round before holds: the rung's name, the
    count, and the most that was done in one bout, in repetitions or seconds.
    """
    before: dict[tuple[str, str], int] = {}
    for cell in strength_cells(session):
        column = cell.ref.block, cell.ref.cell
        most = before.get(column, 0)
        rungs = {rung.name: rung for rung in (cell.rung, *(option.rung for option in cell.options))}
        for name, rung in rungs.items():
            if (count := count_asked(rung.entry_test)) > most:
                yield cell, (name, count, most)
        firsts = (cell.bouts[0], *(option.bouts[0] for option in cell.options))
        before[column] = max(bout.reps or bout.duration_ms // 1000 for bout in firsts)


@rule(TIMELINE)
def no_kit_needs_kit(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """A no-kit option needs no kit; a wall and a floor are not counted as kit.

    Severity: error
    Limit: 0 items of kit
    Source: common practice, no source: everyone has a wall and a floor
    """
    troubles = (
        (cell, option.rung)
        for cell in strength_cells(session)
        if (option := cell.option(OptionKind.NO_KIT)) and option.rung.needs_kit
    )
    for cells, (name, items) in group_by_column((cell, (rung.name, _items(rung))) for cell, rung in troubles):
        free = [rung for rung in cells[0].move.versions if not rung.needs_kit]
        yield Finding(
            rule=no_kit_needs_kit.id,
            severity=Severity.ERROR,
            where=cells[0].where,
            places=refs(cells),
            measured=f"the no-kit option {name!r} needs {len(items)}: {and_list(items)}",
            limit="0 items of kit",
            source=no_kit_needs_kit.source,
            remedy=f"Choose a no-kit option without kit for the {move_words(cells[0])}: {_names(free)}.",
            hint=f"Set {OptionKind.NO_KIT.field} of {cells[0].ref.cell} to {_keys(free)}.",
        )


@rule(TIMELINE)
def option_order(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """An easier option is no higher than the rung that is led, or easy anyhow; a harder one is no lower.

    Severity: error
    Limit: 0 grades the wrong way
    Source: chosen, because people who need the easier rung trust its name
    """
    troubles = (
        (cell, (option.kind, option.rung.name, option.rung.grade, cell.rung.grade))
        for cell in strength_cells(session)
        for option in cell.options
        if wrong_way(option.kind, option.rung.grade - cell.rung.grade) and not _is_easy(option)
    )
    for cells, (kind, name, grade, led_grade) in group_by_column(troubles):
        yield Finding(
            rule=option_order.id,
            what=str(kind),
            severity=Severity.ERROR,
            where=cells[0].where,
            places=refs(cells),
            measured=f"the {kind} option {name!r} is grade {grade} and the rung led is grade {led_grade}",
            limit="0 grades the wrong way",
            source=option_order.source,
            remedy=f"Choose {_a(kind)} option of grade {led_grade} or "
            f"{'lower' if kind is OptionKind.EASIER else 'higher'} for the {move_words(cells[0])}, or leave it to the "
            "ladder.",
            hint=f"It is {kind.field} of {cells[0].ref.cell}.",
        )


def _is_easy(option: Option) -> bool:
    return option.kind is OptionKind.EASIER and option.rung.grade <= EASY_GRADE


@rule(TIMELINE)
def option_kit(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """The harder and the easier option need only kit that the plan lists.

    Severity: note
    Limit: 0 items that are not listed
    Source: common practice, no source: offer what people can take up
    """
    troubles = (
        (cell, (option.kind, option.rung.name, missing))
        for cell in strength_cells(session)
        for option in cell.options
        if option.kind is not OptionKind.NO_KIT
        and (missing := tuple(str(item) for item in lacking(option.rung, session.kit)))
    )
    for cells, (kind, name, missing) in group_by_column(troubles):
        yield Finding(
            rule=option_kit.id,
            what=str(kind),
            severity=Severity.NOTE,
            where=cells[0].where,
            places=refs(cells),
            measured=f"the {kind} option {name!r} needs {len(missing)} not listed: {and_list(missing)}",
            limit="0 items that are not listed",
            source=option_kit.source,
            remedy=f"List {and_list(missing)} among the kit, or choose another {kind} option for the "
            f"{move_words(cells[0])}.",
            hint=f"Kit stands under [[kit]]; the option is {kind.field} of {cells[0].ref.cell}.",
        )


@rule(TIMELINE)
def option_limit(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """The easier and the no-kit option carry no caution that someone present has to avoid and the rung led has not.

    Severity: warning
    Limit: 0 cautions of those present
    Source: common practice, no source: an option is not to lead people into what they have to avoid
    """
    troubles = (
        (cell, (option.kind, option.rung.name, caution))
        for cell in strength_cells(session)
        for option in cell.options
        for caution in session.who.limits
        if option.kind is not OptionKind.HARDER
        and caution in option.rung.cautions
        and caution not in cell.rung.cautions
    )
    for cells, (kind, name, caution) in group_by_column(troubles):
        free = [
            rung for rung in cells[0].move.versions if caution not in rung.cautions and _may_be(kind, rung, cells[0])
        ]
        yield Finding(
            rule=option_limit.id,
            what=f"{kind}, {caution}",
            severity=Severity.WARNING,
            where=cells[0].where,
            places=refs(cells),
            measured=f"the {kind} option {name!r} is {caution}, which someone present has to avoid (1 caution)",
            limit="0 cautions of those present in an easier or no-kit option",
            source=option_limit.source,
            remedy=f"Choose another {kind} option for the {move_words(cells[0])}: {_names(free)}.",
            hint=f"Set {kind.field} of {cells[0].ref.cell} to {_keys(free)}.",
        )


def _a(kind: OptionKind) -> str:
    return f"an {kind}" if kind is OptionKind.EASIER else f"a {kind}"


def _names(rungs: Iterable[Rung]) -> str:
    return name_list(rung.name for rung in rungs) or "none on its ladder"


def _keys(rungs: Iterable[Rung]) -> str:
    return name_list(rung.key for rung in rungs) or "a rung of another move"


def _may_be(kind: OptionKind, rung: Rung, cell: Cell) -> bool:
    """Whether a rung of the ladder could be the cell's option of this kind."""
    return not rung.needs_kit if kind is OptionKind.NO_KIT else not wrong_way(kind, rung.grade - cell.rung.grade)


def wrong_way(kind: OptionKind, grades: int) -> bool:
    """Whether an option that is this many grades above the led rung breaks what its kind promises."""
    return grades > 0 if kind is OptionKind.EASIER else grades < 0 and kind is OptionKind.HARDER


def _missing(cell: Cell) -> tuple[OptionKind, ...]:
    return tuple(kind for kind in OptionKind if cell.option(kind) is None)


def _without_test(cell: Cell) -> Iterator[Rung]:
    rungs = {rung.name: rung for rung in (cell.rung, *(option.rung for option in cell.options))}
    return (rung for rung in rungs.values() if not 1 <= _words(rung) <= MAX_ENTRY_TEST_WORDS)


def _words(rung: Rung) -> int:
    return len(rung.entry_test.split())


def _items(rung: Rung) -> tuple[str, ...]:
    return tuple(str(need.item) for need in rung.kit if need.item.counts_as_kit)
