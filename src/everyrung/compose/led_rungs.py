"""Candidates that change what is led: another rung, another load, one change fewer, a dose up or down."""

from collections.abc import Iterator, Sequence
from itertools import islice

from everyrung.checks.rules.options import wrong_way
from everyrung.checks.rules.whole_session import FAR_ABOVE, FEW_ABOVE_SHARE, HIGHEST_GRADE
from everyrung.compose.case import Case, PlanRun, Remedy
from everyrung.compose.options import FIELDS, of_kind
from everyrung.compose.rungs import MOST_RUNGS, StandIn, change_dose, combine, dose_for, set_dose, stand_ins
from everyrung.moves.kit import kit_for
from everyrung.moves.lever_words import write_lever
from everyrung.terms.edit import AddLever, DropLever, OneEdit, SetCell, SetHead, TakeRung
from everyrung.terms.enums import BlockKind, Caution, OptionKind
from everyrung.terms.finding import name_list
from everyrung.terms.session import Cell
from everyrung.terms.units import Load

_PAUSE = {"pause": "1 s"}


def lead(case: PlanRun, cells: Sequence[Cell], other: StandIn) -> tuple[OneEdit, ...]:
    """The edits that lead another rung in some cells of one column, in its own tempo, with a dose where it needs one,
    and with a load of its own where the old one is none for it.
    """
    edits: list[OneEdit] = []
    for cell in cells:
        edits.append(TakeRung(ref=cell.ref, rung=other.rung.key, move=other.move))
        form = other.rung.form
        text = case.text(cell)
        fields: dict[str, object] = {"tempo": text.tempo}
        if form.load is not cell.rung.form.load:
            fields |= {"load": text.load, "left": text.left, "right": text.right}
        edits += (SetCell(ref=cell.ref, field=name, value=None) for name, value in fields.items() if value)
        edits += set_dose(cell, dose_for(cell, form.mode, form.sides))
        edits += (
            SetCell(ref=cell.ref, field=FIELDS[option.kind], value=None)
            for option in cell.options
            if option.given and (other.move or wrong_way(option.kind, option.rung.grade - other.rung.grade))
        )
    return tuple(edits)


def other_rungs(case: Case, *, highest: int = 5) -> Iterator[Remedy]:
    """Another rung in every cell that the finding names, no harder than what is led."""
    columns = case.columns
    ways = [
        [each for each in stand_ins(case, cells[0], None, highest=highest) if _no_higher(each, cells)]
        for cells in columns
    ]
    if not ways or not all(ways):
        return
    for others in combine(ways):
        edits = [edit for cells, each in zip(columns, others, strict=True) for edit in lead(case, cells, each)]
        words = name_list((each.rung.name for each in others), most=MOST_RUNGS)
        yield Remedy(words=f"Lead instead: {words}", edits=tuple(edits))


def _no_higher(other: StandIn, cells: Sequence[Cell]) -> bool:
    return other.rung.grade <= max(1, min(cell.rung.grade for cell in cells))


def lower_rungs(case: Case) -> Iterator[Remedy]:
    """A rung below the led one in each cell by itself, from its own ladder."""
    for cells in case.columns:
        for other in stand_ins(case, cells[0], None):
            if not other.move and other.rung.grade < min(cell.rung.grade for cell in cells):
                yield Remedy(words=f"Lead instead: {other.rung.name}", edits=lead(case, cells, other))
                break


def level_label(case: Case) -> Iterator[Remedy]:
    """Lower rungs in as few cells as the label needs; and last the label."""
    highest = HIGHEST_GRADE[case.session.level]
    cells = sorted(case.cells, key=lambda cell: -cell.rung.grade)
    spare_count = int(FEW_ABOVE_SHARE * sum(1 for block in case.session.of_kind(BlockKind.MAIN) for _ in block.cells))
    may_stay = [cell for cell in cells if cell.rung.grade < highest + FAR_ABOVE][::-1][:spare_count]
    for staying, others in ((may_stay, False), ([], False), (may_stay, True)):
        edits, words = _lower(case, [cell for cell in cells if cell not in staying], highest, others=others)
        if edits:
            yield Remedy(words=words, edits=edits, family="lower rungs")
    yield from _raised_label(case)


def _lower(case: Case, cells: Sequence[Cell], highest: int, *, others: bool) -> tuple[tuple[OneEdit, ...], str]:
    """A rung within a grade in each cell, of its own ladder; with `others`, of another move where that has none."""
    edits: list[OneEdit] = []
    names = []
    for cell in cells:
        near = stand_ins(case, cell, None, highest=highest)
        ways = [each for each in near if not each.move] or (list(near) if others else [])
        if not ways:
            return (), ""
        edits += lead(case, [cell], ways[0])
        names.append(ways[0].rung.name)
    sets = "1 set" if len(cells) == 1 else f"{len(cells)} sets"
    return tuple(edits), f"Lead lower rungs in {sets}: {name_list(names, most=MOST_RUNGS)}"


def _raised_label(case: Case) -> Iterator[Remedy]:
    """The label raised: nothing gets easier."""
    top = max(cell.rung.grade for cell in case.cells)
    level = next(each for each, grade in HIGHEST_GRADE.items() if grade >= top)
    words = f"Accept: call it {level}; nothing in the session gets easier"
    yield Remedy(words=words, edits=(SetHead(field="level", value=str(level)),), silent=True)


def kit_missing(case: Case) -> Iterator[Remedy]:
    """The nearest load or band that is there, a rung that does without; and last the kit listed."""
    yield from _load_at_hand(case)
    yield from other_rungs(case)


def _load_at_hand(case: Case) -> Iterator[Remedy]:
    cells = [cell for cell in case.cells if cell.bouts[0].load]
    if not cells:
        return
    for load in islice(loads_near(case, cells[0]), 2):
        edits = tuple(SetCell(ref=cell.ref, field="load", value=str(load)) for cell in cells)
        yield Remedy(words=f"Take {load}, which you have", edits=edits, family="load")


def loads_near(case: PlanRun, cell: Cell, *, lighter: bool = False) -> Iterator[Load]:
    """Loads of the kit as many pieces as the cell's, the nearest first."""
    old = cell.bouts[0].load
    kit = case.session.kit
    if old is None:
        return
    if old.band:
        grades = [each.grade for each in kit if each.grade and each.grade is not old.band]
        grades = [grade for grade in grades if grade.need is old.band.need]
        yield from (Load(band=grade) for grade in grades)
        return
    number, each_kg = len(old.pieces), old.total_kg / len(old.pieces)
    need = kit_for(cell.rung.form.load)
    masses = {each.mass for each in kit if each.mass and need.is_met_by(each.item) and each.pieces >= number}
    for mass in sorted(masses, key=lambda one: abs(one.mass_kg - each_kg)):
        if not lighter or mass.mass_kg < each_kg:
            yield Load(pieces=(mass,) * number)


def pair_unequal(case: Case) -> Iterator[Remedy]:
    """Two of the lighter piece."""
    load = case.cells[0].bouts[0].load
    if load and load.pieces:
        light = min(load.pieces, key=lambda piece: piece.mass_kg)
        pair = Load(pieces=(light, light))
        edits = tuple(SetCell(ref=cell.ref, field="load", value=str(pair)) for cell in case.cells)
        yield Remedy(words=f"Take {pair}", edits=edits)


def fewer_changes(case: Case) -> Iterator[Remedy]:
    """One change against the round before taken back: the last lever, the dose, the load, or the rung."""
    for cell in case.cells:
        before = case.before(cell)
        if before is None:
            continue
        name = cell.move.name.lower()
        if case.has_lever(cell):
            yield Remedy(words=f"Take the last change off {name}", edits=(DropLever(ref=cell.ref),))
        if str(before.dose) != str(cell.dose):
            yield Remedy(words=f"Stay at {before.dose}", edits=set_dose(cell, before.dose))
        load, was = cell.bouts[0].load, before.bouts[0].load
        if load and was and str(load) != str(was):
            yield Remedy(words=f"Stay at {was}", edits=(SetCell(ref=cell.ref, field="load", value=str(was)),))
        same = as_before(case, cell, before)
        if str(before.dose) != str(cell.dose):
            yield Remedy(words=f"Change the dose alone: {cell.dose}", edits=(*same, *set_dose(cell, cell.dose)))
        if more := change_dose(before, 2):
            words = "two repetitions more" if before.dose.reps else "ten seconds more"
            yield Remedy(words=f"Stay with {before.rung.name}, {words}", edits=(*same, *set_dose(cell, more)))


def as_before(case: Case, cell: Cell, before: Cell) -> tuple[OneEdit, ...]:
    """The rung of the round before in a cell's place, in the same tempo."""
    text = case.text(before)
    levers = tuple(write_lever(lever) for lever in (*(text.levers or ()), *text.add))
    edits: list[OneEdit] = [
        TakeRung(
            ref=cell.ref,
            rung=text.rung or "base",
            move="" if before.move.key == cell.move.key else before.move.key,
            levers=levers,
            name=before.rung.name if levers else "",
            entry_test=before.rung.entry_test if levers else "",
        )
    ]
    if before.rung.form.load is not cell.rung.form.load:
        edits.append(SetCell(ref=cell.ref, field="load", value=str(text.load) if text.load else None))
    if text.tempo != case.text(cell).tempo:
        edits.append(SetCell(ref=cell.ref, field="tempo", value=str(text.tempo) if text.tempo else None))
    return tuple(edits)


def a_step_up(case: Case) -> Iterator[Remedy]:
    """One change more in a cell: repetitions, a pause, a load; for a round, in each of its cells by itself."""
    ways_by_cell: list[list[Remedy]] = []
    for cell in case.cells:
        name = cell.move.name.lower()
        ways = []
        more = change_dose(cell, 2)
        if more:
            words = f"Two more repetitions: {name}" if cell.dose.reps else f"Ten seconds longer: {name}"
            ways.append(Remedy(words=words, edits=set_dose(cell, more)))
        ways.append(Remedy(words=f"A pause of a second: {name}", edits=(AddLever(ref=cell.ref, lever=_PAUSE),)))
        ways_by_cell.append(ways)
    yield from (ways[0] for ways in ways_by_cell)
    yield from (way for ways in ways_by_cell for way in ways[1:])


def a_step_back(case: Case) -> Iterator[Remedy]:
    """A lighter load or a rung nearer to the round before."""
    for cell in case.cells:
        before = case.before(cell)
        for load in islice(loads_near(case, cell, lighter=True), 2):
            edits: tuple[OneEdit, ...] = (SetCell(ref=cell.ref, field="load", value=str(load)),)
            yield Remedy(words=f"Take {load} in round {cell.ref.round}", edits=edits)
        if case.has_lever(cell):
            yield Remedy(words=f"Take the last change off {cell.move.name.lower()}", edits=(DropLever(ref=cell.ref),))
        for other in stand_ins(case, cell, None):
            if not other.move and before and before.rung.grade <= other.rung.grade <= cell.rung.grade:
                yield Remedy(words=f"Lead instead: {other.rung.name}", edits=lead(case, [cell], other))
                break
        if before and (more := change_dose(before, 2)):
            words = "two repetitions more" if before.dose.reps else "ten seconds more"
            yield Remedy(
                words=f"Stay with {before.rung.name}, {words}",
                edits=(*as_before(case, cell, before), *set_dose(cell, more)),
            )


def back_up(case: Case) -> Iterator[Remedy]:
    """What went down brought back to the round before."""
    for cell in case.cells:
        before = case.before(cell)
        if before is None:
            continue
        yield Remedy(words=f"{before.dose} as in round {before.ref.round}", edits=set_dose(cell, before.dose))
        if load := before.bouts[0].load:
            edits = (SetCell(ref=cell.ref, field="load", value=str(load)),)
            yield Remedy(words=f"{load} as in round {before.ref.round}", edits=edits)
        yield from (Remedy(words=each.words, edits=each.edits) for each in fewer_changes(case))


def fewer(cells: Sequence[Cell], steps: int, words: str, family: str = "fewer") -> Iterator[Remedy]:
    """A smaller dose in some cells."""
    edits = tuple(edit for cell in cells for edit in set_dose(cell, change_dose(cell, -steps)))
    if edits:
        yield Remedy(words=words, edits=edits, family=family)


def few_repetitions(case: Case) -> Iterator[Remedy]:
    """Two repetitions fewer, or four, in every cell that the finding names."""
    for steps, number in ((2, "Two"), (4, "Four")):
        yield from fewer(case.cells, steps, f"{number} repetitions fewer")


def newcomer_knee_bends(case: Case) -> Iterator[Remedy]:
    """Fewer repetitions, a shallower rung, or fewer rounds for first-timers."""
    for steps in (1, 2, 3, 4):
        words = f"{'One repetition' if steps == 1 else f'{steps} repetitions'} fewer in each deep knee bend"
        yield from fewer(case.cells, steps, words)
    for cells in case.columns:
        shallow = [
            each
            for each in stand_ins(case, cells[0], None)
            if Caution.DEEP_KNEE not in each.rung.cautions and _no_higher(each, cells)
        ]
        for other in shallow[:1]:
            yield Remedy(words=f"Lead instead: {other.rung.name}", edits=lead(case, cells, other))
    yield from fewer_rounds(case)


def fewer_rounds(case: Case) -> Iterator[Remedy]:
    """First-timers led through fewer rounds."""
    for rounds in range(case.session.newcomer_rounds - 1, 0, -1):
        words = f"First-timers do {rounds} {'round' if rounds == 1 else 'rounds'}, then rest or keep the easier rung"
        yield Remedy(words=words, edits=(SetHead(field="newcomer_rounds", value=rounds),), family="rounds")


def rung_for_nobody(case: Case) -> Iterator[Remedy]:
    """A lower rung led, or as the option that the finding names; a lighter load; fewer repetitions."""
    kind = next((kind for kind in OptionKind if kind == case.finding.what), None)
    if kind:
        yield from islice(of_kind(case, kind), 2)
        return
    yield from islice(other_rungs(case), 2)
    for load in islice(loads_near(case, case.cells[0], lighter=True), 1):
        edits = tuple(SetCell(ref=cell.ref, field="load", value=str(load)) for cell in case.cells)
        yield Remedy(words=f"Take {load}", edits=edits)
    yield from few_repetitions(case)
