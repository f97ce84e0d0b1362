"""Edits of a plan's text: the comments and the order of everything that is not edited survive."""

import pickle
from collections.abc import Sequence
from functools import lru_cache, singledispatch
from typing import Any

import tomlkit

from everyrung.moves.library import Library
from everyrung.plan.document_paths import (
    append,
    block_of,
    cell_of,
    drop_cell,
    forget,
    part_of,
    place_of,
    plain,
    put,
    put_above_tables,
    put_cells,
    put_option,
    rounds_own,
)
from everyrung.plan.inheritance import own_cells
from everyrung.plan.read import plan_from_text
from everyrung.plan.resolve import session_from_text
from everyrung.plan.serialize import cell_values
from everyrung.plan.text_parts import part_of_text
from everyrung.plan.write import item
from everyrung.terms.edit import (
    AddBlock,
    AddKit,
    AddLever,
    AddMove,
    AddRound,
    DropLever,
    Edit,
    OneEdit,
    RemoveBlock,
    RemoveKit,
    RemoveMove,
    RemoveRound,
    SetCell,
    SetHead,
    SetPart,
    Several,
    ShiftMove,
    SkipCell,
    TakeRung,
)
from everyrung.terms.enums import BlockKind
from everyrung.terms.errors import Faults, Invalid
from everyrung.terms.finding import location_words
from everyrung.terms.plan import WAVE_RESTS, Plan, Ref
from everyrung.terms.session import Session

DOCUMENTS_KEPT = 16  # chosen, because each is some 100 kB, and a change is tried on one or two texts
_ON_TOP = ("levers", "add", "name", "entry_test", "carry")  # what a cell says of its rung, and of no other
_IN_A_CELL = (SetCell, TakeRung, AddLever, DropLever)
_ORDER = (BlockKind.ANNOUNCEMENT, BlockKind.WARM_UP, BlockKind.MAIN, BlockKind.COOL_DOWN, BlockKind.RESERVE)
_NAMES = ("One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight")


def apply_edit(text: str, edit: Edit, library: Library, file: str = "plan.toml") -> str:
    """The text after one edit, tried with the library; `file` is for the places in faults. A lever for a whole round
    goes to the cells that can take it.

    Raises Invalid for a place that is not there, Faults when the result is no plan.

    >>> from pathlib import Path
    >>> from everyrung import library
    >>> text = Path("examples/boathouse-30.toml").read_text(encoding="utf-8")
    >>> longer = apply_edit(text, SetHead(field="slot_minutes", value=35), library())
    >>> plan_from_text(longer, "plan.toml").slot_ms // 60_000
    35
    """
    if isinstance(edit, AddLever) and not edit.ref.cell:
        return _every_cell(text, edit, library, file)
    new_text = write_edit(text, edit, file)
    session_from_text(new_text, file, library)
    return new_text


def write_edit(text: str, edit: Edit, file: str = "plan.toml") -> str:
    """The text after one edit, whatever it says then. Raises Invalid for a place that is not there, Faults when `text`
    is no plan, TypeError for what is no edit.
    """
    plan = plan_from_text(text, file)
    if isinstance(edit, _IN_A_CELL) and (part := part_of_text(text, plan, edit)):
        return f"{part.before}{_text_after(part.text, edit, part.plan, file).removeprefix(part.head)}{part.after}"
    return _text_after(text, edit, plan, file)


def _text_after(text: str, edit: Edit, plan: Plan, file: str) -> str:
    document = pickle.loads(_document_bytes(text))
    edits = edit.edits if isinstance(edit, Several) else (edit,)
    for at, each in enumerate(edits, start=1):
        _apply(each, document, plan)
        if at < len(edits) and not _keeps_names(each):
            plan = plan_from_text(tomlkit.dumps(document), file)
    return tomlkit.dumps(document)


def _keeps_names(edit: OneEdit) -> bool:
    """Whether a plan has the same parts under the same names after an edit; another move may rename its column."""
    return isinstance(edit, _IN_A_CELL) and not (isinstance(edit, TakeRung) and edit.move)


@lru_cache(DOCUMENTS_KEPT)
def _document_bytes(text: str) -> bytes:
    """A text's document. Many edits are tried on one text, and this is made a document again in a seventh of the time
    that reading the text takes.
    """
    return pickle.dumps(tomlkit.parse(text))


def _every_cell(text: str, edit: AddLever, library: Library, file: str) -> str:
    """A lever for a whole round goes to the cells that can take it; none at all is refused."""
    session = session_from_text(text, file, library)
    refusals: list[str] = []
    new_text = text
    for cell in _cells(session, edit.ref):
        try:
            new_text = apply_edit(new_text, AddLever(ref=cell, lever=edit.lever), library, file)
        except (Invalid, Faults) as problem:
            first = problem.faults[0] if isinstance(problem, Faults) else problem
            refusals.append(f"{cell.cell.replace('-', ' ')}: {first.got}")
    if new_text == text:
        raise Invalid(
            "lever", f"a move in {location_words((edit.ref,))} that can take it", "; ".join(refusals) or "no moves"
        )
    return new_text


def _cells(session: Session, ref: Ref) -> list[Ref]:
    blocks = (*session.blocks, *session.reserve)
    return [
        cell.ref
        for block in blocks
        for cell in block.cells
        if (cell.ref.block, cell.ref.round) == (ref.block, ref.round)
    ]


@singledispatch
def _apply(edit: object, document: Any, plan: Plan) -> None:
    raise TypeError(f"not an edit: {edit!r}")


@_apply.register
def _(edit: SetHead, document: Any, plan: Plan) -> None:
    table, _, key = edit.field.rpartition(".")
    target = document.setdefault(table, tomlkit.table()) if table else document
    if target is document and edit.value is not None and key not in target:
        put_above_tables(document, key, edit.value)
    else:
        put(target, key, edit.value)


@_apply.register
def _(edit: SetPart, document: Any, plan: Plan) -> None:
    put(part_of(document, plan, edit.ref), edit.field, edit.value)


@_apply.register
def _(edit: SetCell, document: Any, plan: Plan) -> None:
    _put_field(cell_of(document, plan, edit.ref, column=edit.column), edit.field, edit.value)
    for own in rounds_own(document, plan, edit.ref) if edit.column else ():
        _put_field(own, edit.field, None)


def _put_field(cell: Any, field: str, value: Any) -> None:
    table, _, key = field.rpartition(".")
    if table:
        put_option(cell, key, value)
    else:
        put(cell, key, value)


@_apply.register
def _(edit: TakeRung, document: Any, plan: Plan) -> None:
    cell = cell_of(document, plan, edit.ref, column=edit.column)
    for key in _ON_TOP:
        put(cell, key, None)
    if edit.move:
        put(cell, "move", edit.move)
    put(cell, "rung", edit.rung)
    put(cell, "levers", list(edit.levers) or None)
    put(cell, "name", edit.name or None)
    put(cell, "entry_test", edit.entry_test or None)
    for own in rounds_own(document, plan, edit.ref) if edit.column else ():
        for key in ("rung", *_ON_TOP):
            put(own, key, None)


@_apply.register
def _(edit: AddLever, document: Any, plan: Plan) -> None:
    cell = cell_of(document, plan, edit.ref)
    others = [each for each in plain(cell.get("add", [])) if not _same_lever(each, edit.lever)]
    levers = [*others, edit.lever]
    put(cell, "add", levers)
    _drop_names(cell)


def _same_lever(one: Any, other: Any) -> bool:
    """Two pauses, say, at the same place: the later one is meant; repetitions add up."""
    word = next(iter(other))
    return word != "reps" and word in one and one.get("at") == other.get("at")


@_apply.register
def _(edit: DropLever, document: Any, plan: Plan) -> None:
    cell = cell_of(document, plan, edit.ref)
    field = next((key for key in ("add", "levers") if cell.get(key)), None)
    if field is None:
        raise Invalid("lever", f"a change of its own in {location_words((edit.ref,))}", "none")
    put(cell, field, plain(cell[field])[:-1] or None)
    _drop_names(cell)


def _drop_names(cell: Any) -> None:
    """With other levers it is another rung: name and test told of the old one."""
    for key in ("name", "entry_test"):
        put(cell, key, None)


@_apply.register
def _(edit: AddRound, document: Any, plan: Plan) -> None:
    place, block = block_of(document, plan, edit.block)
    round_names = [each.name for each in plan.blocks[place].rounds]
    if not round_names:
        append(block, "round", {"name": _NAMES[0]})
        round_names = [_NAMES[0]]
    append(block, "round", {"name": next_round(round_names), "like": round_names[-1]})


def next_round(round_names: Sequence[str]) -> str:
    """The name that one round more gets, after those of its block.

    >>> next_round(["One", "Two"])
    'Three'
    """
    number = len(round_names)
    names = (*_NAMES[number:], *(f"Round {at}" for at in range(number + 1, 999)))
    return next(name for name in names if name not in round_names)


@_apply.register
def _(edit: RemoveRound, document: Any, plan: Plan) -> None:
    place, block = block_of(document, plan, edit.ref.block)
    rounds = plan.blocks[place].rounds
    at = place_of([each.name for each in rounds], edit.ref.round, "round")
    if len(rounds) == 1:
        raise Invalid("round", "a block with at least one round left", edit.ref.round)
    own = own_cells(rounds)
    for number, each in enumerate(rounds):
        if each.like == edit.ref.round:
            table = block["round"][number]
            put(table, "like", None)
            put_cells(table, {key: cell_values(cell) for key, cell in own[each.name].items()})
    del block["round"][at]
    forget(document, plan, lambda ref: (ref.block, ref.round) == (edit.ref.block, edit.ref.round))


@_apply.register
def _(edit: AddMove, document: Any, plan: Plan) -> None:
    place, block = block_of(document, plan, edit.block)
    columns = list(plan.blocks[place].columns)
    values: dict[str, Any] = {"move": edit.move}
    if edit.move in columns:
        values["as"] = next(name for at in range(2, 999) if (name := f"{edit.move} {at}") not in columns)
    append(block, "move", values)


@_apply.register
def _(edit: RemoveMove, document: Any, plan: Plan) -> None:
    place, block = block_of(document, plan, edit.block)
    at = place_of(list(plan.blocks[place].columns), edit.cell, "move")
    del block["move"][at]
    if not block["move"]:
        del block["move"]
        block.pop("round", None)
    for each in block.get("round", []):
        drop_cell(each, edit.cell)
    others = [[WAVE_RESTS if key == edit.cell else key for key in group] for group in plain(block.get("waves", []))]
    put(block, "waves", [group for group in others if set(group) != {WAVE_RESTS}] or None)
    cells = {edit.cell} if len(plan.blocks[place].rounds) < 2 else set()
    forget(document, plan, lambda ref: ref.block == edit.block and (ref.cell == edit.cell or ref.round in cells))


@_apply.register
def _(edit: ShiftMove, document: Any, plan: Plan) -> None:
    place, block = block_of(document, plan, edit.block)
    columns = list(plan.blocks[place].columns)
    at = place_of(columns, edit.cell, "move")
    tables = list(block["move"])
    table = tables.pop(at)
    tables.insert(max(0, min(edit.to, len(tables))), table)
    moves = tomlkit.aot()
    for each in tables:
        moves.append(each)
    block["move"] = moves


@_apply.register
def _(edit: SkipCell, document: Any, plan: Plan) -> None:
    place, block = block_of(document, plan, edit.ref.block)
    at = place_of([each.name for each in plan.blocks[place].rounds], edit.ref.round, "round")
    place_of(list(plan.blocks[place].columns), edit.ref.cell, "move")
    table = block["round"][at]
    others = [name for name in plain(table.get("skip", [])) if name != edit.ref.cell]
    put(table, "skip", [*others, edit.ref.cell] if edit.skip else others or None)
    if edit.skip:
        forget(document, plan, lambda ref: ref == edit.ref)


@_apply.register
def _(edit: AddBlock, document: Any, plan: Plan) -> None:
    names = [block.name for block in plan.blocks]
    name = str(edit.kind).capitalize()
    values: dict[str, Any] = {"kind": str(edit.kind)}
    if name in names:
        values["name"] = next(each for at in range(2, 999) if (each := f"{name} {at}") not in names)
    if edit.kind is not BlockKind.ANNOUNCEMENT:
        values["move"] = [{"move": edit.move}]
    at = sum(_ORDER.index(block.kind) <= _ORDER.index(edit.kind) for block in plan.blocks)
    document["block"].insert(at, item("block", [values])[0])


@_apply.register
def _(edit: RemoveBlock, document: Any, plan: Plan) -> None:
    place, _ = block_of(document, plan, edit.block)
    if len(plan.blocks) == 1:
        raise Invalid("block", "a plan with at least one block left", edit.block)
    del document["block"][place]
    forget(document, plan, lambda ref: ref.block == edit.block)


@_apply.register
def _(edit: AddKit, document: Any, plan: Plan) -> None:
    append(document, "kit", edit.stock)


@_apply.register
def _(edit: RemoveKit, document: Any, plan: Plan) -> None:
    if not 0 <= edit.at < len(plan.kit):
        raise Invalid("kit", f"one of {len(plan.kit)} entries", edit.at + 1)
    del document["kit"][edit.at]
    if not document["kit"]:
        del document["kit"]
