"""Remedies that can be done with one press: for some rules, the edit that its finding asks for."""

import json
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from everyrung.checks.places import every_cell
from everyrung.moves.lever_words import read_lever
from everyrung.moves.library import standard_library
from everyrung.pipeline import Run
from everyrung.terms.fault import Invalid
from everyrung.terms.finding import Finding
from everyrung.terms.plan import Ref
from everyrung.terms.session import Cell
from everyrung.terms.vocabulary import BlockKind, KitItem, Level, MoveKind, OptionKind

SHRUNK = 2 / 3  # of a slot; chosen, because a session that fills less is not finished yet
MOVES = {BlockKind.WARM_UP: MoveKind.WARM_UP, BlockKind.COOL_DOWN: MoveKind.COOL_DOWN}


@dataclass(frozen=True, slots=True, kw_only=True)
class Remedy:
    """Words for a button, and the form that it sends."""

    words: str
    fields: dict[str, str]


def remedies(run: Run, finding: Finding) -> tuple[Remedy, ...]:
    """What can be done at once about a finding; often nothing."""
    make = _RULES.get(finding.rule)
    return tuple(make(run, finding)) if make else ()


def _cells(run: Run, finding: Finding) -> list[Cell]:
    named = set(finding.places)
    return [cell for cell in every_cell(run.session) if cell.ref in named]


def _head(words: str, field: str, value: str) -> Remedy:
    return Remedy(words=words, fields={"edit": "head", "field": field, "value": value})


def _cell(words: str, ref: Ref, field: str, value: str) -> Remedy:
    return Remedy(words=words, fields={"edit": "cell", "ref": str(ref), "field": field, "value": value})


def _overrun(run: Run, _: Finding) -> Iterator[Remedy]:
    minutes = -(-run.timeline.total_ms // 60_000)
    known = {str(cell.ref): cell for cell in run.session.cells}
    for ref in run.session.cut_order:
        if str(ref) in known:
            fields = {"edit": "skip", "ref": str(ref), "value": "yes"}
            if ref.round == ref.block:  # a block without rounds has nothing to leave it out of
                fields = {"edit": "remove-move", "block": ref.block, "cell": ref.cell}
            yield Remedy(words=f"Leave out {ref.cell} of {ref.round}", fields=fields)
            break
    yield _head(f"Make the slot {minutes} minutes", "slot_minutes", str(minutes))


def _underfilled(run: Run, _: Finding) -> Iterator[Remedy]:
    main = run.session.of_kind(BlockKind.MAIN)
    if main:
        yield Remedy(words=f"A round more in {main[0].name}", fields={"edit": "add-round", "block": main[0].name})
    minutes = max(5, -(-run.timeline.total_ms // 60_000))
    if minutes >= SHRUNK * run.session.slot_ms / 60_000:
        yield _head(f"Make the slot {minutes} minutes", "slot_minutes", str(minutes))


def _floor(kind: BlockKind) -> Callable[[Run, Finding], Iterator[Remedy]]:
    def make(run: Run, _: Finding) -> Iterator[Remedy]:
        library = standard_library()
        there = run.session.of_kind(kind)
        used = {cell.move.key for block in there for cell in block.cells}
        fresh = [key for key in library.keys if key not in used and library.move(key).kind is MOVES[kind]]
        if not there and fresh:
            fields = {"edit": "add-block", "kind": str(kind), "move": fresh[0]}
            yield Remedy(words=f"Add a {kind}", fields=fields)
        elif there and fresh:
            name = library.move(fresh[0]).name
            fields = {"edit": "add-move", "block": there[-1].name, "move": fresh[0]}
            yield Remedy(words=f"Add {name.lower()} to the {kind}", fields=fields)

    return make


def _reserve(_: Run, __: Finding) -> Iterator[Remedy]:
    fields = {"edit": "add-block", "kind": "reserve", "move": "calf-raise"}
    yield Remedy(words="Add a reserve with calf raises", fields=fields)


def _cut_order(run: Run, _: Finding) -> Iterator[Remedy]:
    main = [block for block in run.session.of_kind(BlockKind.MAIN) if len(block.rounds) > 1]
    if main:
        last = f"{main[-1].name}/{main[-1].rounds[-1].name}"
        yield _head(f"Let {last} go first", "cut_order", last)


def _label(run: Run, _: Finding) -> Iterator[Remedy]:
    levels = list(Level)
    above = levels[levels.index(run.session.level) + 1 :]
    if above:
        yield _head(f"Offer it as {above[0]}", "level", str(above[0]))


def _fewer_newcomer_rounds(run: Run, _: Finding) -> Iterator[Remedy]:
    fewer = run.session.newcomer_rounds - 1
    if fewer >= 1:
        yield _head(f"First-timers do {fewer}", "newcomer_rounds", str(fewer))


def _same_round(run: Run, finding: Finding) -> Iterator[Remedy]:
    for cell in run.session.cells:
        if Ref(block=cell.ref.block, round=cell.ref.round) in finding.places and cell.bouts[0].reps:
            lever = json.dumps({"reps": 2})
            fields = {"edit": "lever", "ref": str(cell.ref), "value": lever}
            yield Remedy(words=f"Two more repetitions in {cell.ref.cell}", fields=fields)
            return


def _two_levers(run: Run, finding: Finding) -> Iterator[Remedy]:
    for cell in _cells(run, finding)[:1]:
        yield Remedy(words="Take the last change off", fields={"edit": "drop-lever", "ref": str(cell.ref)})


def _lower_easier(run: Run, finding: Finding) -> Iterator[Remedy]:
    """The next rung below the easiest that is offered now."""
    for cell in _cells(run, finding)[:1]:
        keys = [rung.key for rung in cell.move.ladder]
        easier = cell.option(OptionKind.EASIER)
        now = easier.rung.key if easier else cell.rung.key
        at = keys.index(now) if now in keys else len(keys)
        grades = [rung for rung in cell.move.ladder[:at] if rung.grade <= cell.rung.grade]
        if grades:
            yield _cell(f"Easier: {grades[-1].name}", cell.ref, "options.easier", grades[-1].key)


def _without_caution(run: Run, finding: Finding) -> Iterator[Remedy]:
    """An easier rung of the ladder that nobody present has to avoid."""
    limits = set(run.session.who.limits)
    for cell in _cells(run, finding)[:1]:
        free = [rung for rung in cell.move.ladder if not limits & set(rung.cautions) and rung.grade <= cell.rung.grade]
        easier = cell.option(OptionKind.EASIER)
        if free and (easier is None or easier.rung.key != free[-1].key):
            yield _cell(f"Easier: {free[-1].name}", cell.ref, "options.easier", free[-1].key)


def _no_kit(run: Run, finding: Finding) -> Iterator[Remedy]:
    for cell in _cells(run, finding)[:1]:
        free = [rung for rung in cell.move.ladder if not rung.needs_kit and rung.grade <= cell.rung.grade]
        if free:
            yield _cell(f"No kit: {free[-1].name}", cell.ref, "options.no_kit", free[-1].key)


def _missing_option(run: Run, finding: Finding) -> Iterator[Remedy]:
    """A harder option by a pause, an easier one by half the depth, where the ladder has none."""
    for cell in _cells(run, finding)[:1]:
        key = next((rung.key for rung in cell.move.ladder if rung.key == cell.rung.key), None)
        ways: tuple[tuple[OptionKind, str, Mapping[str, object], str, str], ...] = (
            (
                OptionKind.HARDER,
                "options.harder",
                {"pause": "2 s"},
                "with a low pause",
                "Had three more in you last time?",
            ),
            (OptionKind.EASIER, "options.easier", {"range": 0.5}, "half way", "Is half way comfortable?"),
        )
        for kind, field, lever, words, test in ways:
            if key is None or cell.option(kind) or not _can(cell, key, lever):
                continue
            name = f"{cell.rung.name}, {words}"
            value = json.dumps({"rung": key, "levers": [lever], "name": name, "entry_test": test})
            yield _cell(f"{str(kind).capitalize()}: {name}", cell.ref, field, value)
        if cell.option(OptionKind.NO_KIT) is None:
            yield from _no_kit(run, finding)


def _can(cell: Cell, key: str, lever: Mapping[str, object]) -> bool:
    try:
        standard_library().made(cell.move.key, key, (read_lever(lever),))
    except Invalid:
        return False
    return True


def _load_before(run: Run, finding: Finding) -> Iterator[Remedy]:
    for cell in _cells(run, finding)[:1]:
        cells = [
            each for each in run.session.cells if (each.ref.block, each.ref.cell) == (cell.ref.block, cell.ref.cell)
        ]
        at = cells.index(cell)
        if at and (load := cells[at - 1].bouts[0].load):
            yield _cell(f"Stay at {load}", cell.ref, "load", str(load))


def _missing_kit(run: Run, finding: Finding) -> Iterator[Remedy]:
    listed = {stock.item for stock in run.session.kit}
    plain = (KitItem.CHAIR, KitItem.STEP, KitItem.SLIDERS)
    needs = {need.item for cell in _cells(run, finding) for need in cell.rung.kit}
    needs |= {need.item for cell in _cells(run, finding) for option in cell.options for need in option.rung.kit}
    for item in KitItem:
        if item in needs and item in plain and item not in listed:
            count = str(max(1, run.session.who.in_room))
            fields = {"edit": "add-kit", "item": str(item), "count": count}
            yield Remedy(words=f"List {count} × {item}", fields=fields)


_RULES: dict[str, Callable[[Run, Finding], Iterator[Remedy]]] = {
    "slot-overrun": _overrun,
    "slot-underfilled": _underfilled,
    "warm-up-floor": _floor(BlockKind.WARM_UP),
    "cool-down-floor": _floor(BlockKind.COOL_DOWN),
    "reserve-missing": _reserve,
    "cut-order-missing": _cut_order,
    "level-label": _label,
    "newcomer-knee-bends": _fewer_newcomer_rounds,
    "newcomers-sore": _fewer_newcomer_rounds,
    "newcomer-rung": _lower_easier,
    "round-same": _same_round,
    "two-levers": _two_levers,
    "few-finish": _lower_easier,
    "option-missing": _missing_option,
    "option-order": _lower_easier,
    "option-limit": _without_caution,
    "caution-unanswered": _without_caution,
    "limit-without-path": _without_caution,
    "no-kit-needs-kit": _no_kit,
    "load-not-earned": _load_before,
    "kit-missing": _missing_kit,
    "option-kit": _missing_kit,
}
