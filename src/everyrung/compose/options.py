"""Remedies for the options of a set, and for words that are said."""

from collections.abc import Iterator, Sequence
from itertools import islice
from typing import Any

from everyrung.checks.rules.cautions import FIRST_GRADE
from everyrung.compose.case import Case, Remedy
from everyrung.compose.rungs import HIGHEST, MOST_RUNGS, combine, place_on_ladder, stand_ins
from everyrung.moves.entry_tests import ROUND_BEFORE
from everyrung.terms.edit import OneEdit, SetCell, SetPart
from everyrung.terms.enums import OptionKind
from everyrung.terms.finding import name_list
from everyrung.terms.plan import Ref
from everyrung.terms.session import Cell

FIELDS = {kind: kind.field for kind in OptionKind}
_BUTTON = {OptionKind.HARDER: "Harder", OptionKind.EASIER: "Easier", OptionKind.NO_KIT: "Without kit"}
_OWN: dict[OptionKind, tuple[dict[str, Any], str, str]] = {
    OptionKind.HARDER: ({"pause": "2 s"}, "with a low pause", "Was that easy, four left?"),
    OptionKind.EASIER: ({"range": 0.5}, "half way", "Is half way comfortable?"),
}  # where no ladder has one; chosen: the plainest lever up, and the plainest down
MOST_WAYS = 4  # of each kind; chosen, because a trial costs time and three buttons are shown


def of_kind(case: Case, kind: OptionKind, *, highest: int = HIGHEST, free: bool = False) -> Iterator[Remedy]:
    """Another option of a kind in every cell that the finding names."""
    columns = case.columns
    ways = [stand_ins(case, cells[0], kind, highest=highest, free=free) for cells in columns]
    if not all(ways):
        return
    for others in combine(ways):
        yield Remedy(
            words=f"{_BUTTON[kind]}: {name_list((each.rung.name for each in others), most=MOST_RUNGS)}",
            edits=tuple(
                edit for cells, each in zip(columns, others, strict=True) for edit in _offer(cells, kind, each.address)
            ),
        )


def _offer(cells: Sequence[Cell], kind: OptionKind, value: Any) -> tuple[OneEdit, ...]:
    return tuple(SetCell(ref=cell.ref, field=FIELDS[kind], value=value) for cell in cells)


def to_the_ladder(case: Case, kind: OptionKind) -> Iterator[Remedy]:
    """The option that the plan names taken out, so that the ladder's own is offered."""
    in_plan = [option for cell in case.cells if (option := cell.option(kind)) and option.given]
    if in_plan:
        edits = _offer(case.cells, kind, None)
        yield Remedy(words=f"{_BUTTON[kind]}: leave it to the ladder, not {in_plan[0].rung.name}", edits=edits)


def option_missing(case: Case) -> Iterator[Remedy]:
    """Everything that is missing at once, each from a ladder, or by a lever where no ladder has it."""
    cell = case.cells[0]
    lacking = [kind for kind in OptionKind if cell.option(kind) is None]
    ways = {kind: [*islice(_ways(case, cell, kind), MOST_WAYS)] for kind in lacking}
    if not all(ways.values()):
        return
    for values in combine([*ways.values()]):
        choice = dict(zip(ways, values, strict=True))
        words = "; ".join(f"{_BUTTON[kind]}: {name}" for kind, (name, _) in choice.items())
        edits = (edit for kind, (_, value) in choice.items() for edit in _offer(case.cells, kind, value))
        yield Remedy(words=words, edits=tuple(edits))


def _ways(case: Case, cell: Cell, kind: OptionKind) -> Iterator[tuple[str, Any]]:
    """Names and values of what could be the option."""
    others = stand_ins(case, cell, kind)
    yield from ((each.rung.name, each.address) for each in others if not each.move)
    place, own = place_on_ladder(cell)
    if kind in _OWN and not own:
        lever, words, test = _OWN[kind]
        name = f"{cell.rung.name}, {words}"
        yield name, {"rung": cell.move.versions[place].key, "levers": [lever], "name": name, "entry_test": test}
    yield from ((each.rung.name, each.address) for each in others if each.move)


def newcomer_rung(case: Case) -> Iterator[Remedy]:
    """An easier option that is easy."""
    yield from of_kind(case, OptionKind.EASIER, highest=FIRST_GRADE)


def option_of_what(case: Case) -> Iterator[Remedy]:
    """Another option of the kind that the finding names."""
    kind = next(kind for kind in OptionKind if kind in case.finding.what.split(", "))
    yield from to_the_ladder(case, kind)
    yield from of_kind(case, kind)


def no_kit_needs_kit(case: Case) -> Iterator[Remedy]:
    """A no-kit option that needs none."""
    yield from of_kind(case, OptionKind.NO_KIT)
    yield from to_the_ladder(case, OptionKind.NO_KIT)


def without_caution(case: Case) -> Iterator[Remedy]:
    """A way round a caution for all who avoid it, whatever kit they have: as the easier or as the no-kit option."""
    for kind in (OptionKind.EASIER, OptionKind.NO_KIT):
        yield from islice(of_kind(case, kind, free=True), 2)
    yield from islice(of_kind(case, OptionKind.EASIER), 2)


def off_the_floor(case: Case) -> Iterator[Remedy]:
    """In place of easier and no-kit options on the floor, the nearest that are not."""
    edits: list[OneEdit] = []
    names: list[str] = []
    for cell in case.cells:
        low = [each.kind for each in cell.options if each.rung.form.position.on_floor]
        for kind in (each for each in low if each is not OptionKind.HARDER):
            ways = [each for each in stand_ins(case, cell, kind) if not each.rung.form.position.on_floor]
            if not ways:
                return
            edits += _offer([cell], kind, ways[0].address)
            names.append(ways[0].rung.name)
    if edits:
        words = f"Options off the floor: {name_list(dict.fromkeys(names), most=MOST_RUNGS)}"
        yield Remedy(words=words, edits=tuple(edits))


def lower_options(case: Case) -> Iterator[Remedy]:
    """An easier option lower down; the lowest first, for there more can."""
    easier = [*of_kind(case, OptionKind.EASIER, free=True), *of_kind(case, OptionKind.EASIER)]
    yield from easier[::-1][:2]
    yield from islice(of_kind(case, OptionKind.NO_KIT), 1)


def leave_unsaid(case: Case) -> Iterator[Remedy]:
    """The sentence left out of what is said in a part, and out of the coach's own points."""
    text = case.finding.what
    edits: list[OneEdit] = []
    for block in (*case.session.blocks, *case.session.reserve):
        if Ref(block=block.name) in case.finding.places and text in block.say:
            left = [each for each in block.say if each != text]
            edits.append(SetPart(ref=Ref(block=block.name), field="say", value=left or None))
    for cell in case.cells:
        cues = case.text(cell).cues
        if text in cues:
            left = [each for each in cues if each != text]
            edits.append(SetCell(ref=cell.ref, field="cues", value=left or None, column=not left))
    if edits:
        yield Remedy(words="Leave that sentence out", edits=tuple(edits))


def entry_test(case: Case) -> Iterator[Remedy]:
    """The rung's own test, or one that asks for the round before."""
    led_cells = [cell for cell in case.cells if cell.rung.name == case.finding.what]
    if len(led_cells) < len(case.cells):
        return
    own = tuple(SetCell(ref=cell.ref, field="entry_test", value=None) for cell in led_cells)
    yield Remedy(words="Ask the rung's own question", edits=own)
    columns = tuple(SetCell(ref=cells[0].ref, field="entry_test", value=None, column=True) for cells in case.columns)
    yield Remedy(words="Ask the rung's own question in every round", edits=columns)
    if all(case.before(cell) for cell in led_cells):
        edits = tuple(SetCell(ref=cell.ref, field="entry_test", value=ROUND_BEFORE) for cell in led_cells)
        yield Remedy(words=f"Ask: {ROUND_BEFORE}", edits=edits)
