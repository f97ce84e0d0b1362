"""Drafts that a coach has spoilt: an example with changes that nobody thought through, the same for each number."""

import random
from collections.abc import Callable
from functools import cache
from pathlib import Path

from everyrung.checks.cells import every_cell
from everyrung.moves.library import standard_library
from everyrung.pipeline import run_plan
from everyrung.plan.edit import write_edit
from everyrung.plan.read import plan_from_text
from everyrung.results.analysis import Analysis
from everyrung.terms.edit import (
    AddLever,
    AddMove,
    OneEdit,
    RemoveBlock,
    RemoveKit,
    RemoveRound,
    SetCell,
    SetHead,
    SetPart,
    ShiftMove,
    TakeRung,
)
from everyrung.terms.enums import BlockKind, Caution, MoveKind, Severity
from everyrung.terms.errors import Faults, Invalid
from everyrung.terms.plan import Ref
from everyrung.terms.session import Cell

ROOT = Path(__file__).parents[2]
EXAMPLES = sorted(each for each in (ROOT / "examples").glob("*.toml") if each.stem != "faulty")
LIBRARY = standard_library()
GRAVE = (Severity.ERROR, Severity.WARNING)
Spoil = Callable[[Analysis, random.Random], OneEdit]


@cache
def draft_number(number: int) -> str:
    """A draft that can be read and that some check objects to."""
    seed = random.Random(number)
    for _ in range(200):
        text = seed.choice(EXAMPLES).read_text(encoding="utf-8")
        for _ in range(seed.randint(1, 4)):
            text = _spoilt(text, seed)
        if any(each.severity in GRAVE for each in run_of(text).findings):
            return text
    raise AssertionError(f"no draft of number {number} is spoilt")


def run_of(text: str) -> Analysis:
    return run_plan(plan_from_text(text, "plan.toml"), library=LIBRARY)


def _spoilt(text: str, seed: random.Random) -> str:
    """One change more; the text as it is where that cannot be made."""
    try:
        changed = write_edit(text, seed.choice(SPOILS)(run_of(text), seed))
        run_of(changed)
    except (Invalid, Faults):
        return text
    return changed


def _cell(run: Analysis, seed: random.Random) -> Cell:
    main = [cell for cell in every_cell(run.session) if _kind(run, cell) is BlockKind.MAIN]
    return seed.choice(main)


def _kind(run: Analysis, cell: Cell) -> BlockKind:
    return next(block.kind for block in run.plan.blocks if block.name == cell.ref.block)


def _slot(run: Analysis, seed: random.Random) -> OneEdit:
    return SetHead(field="slot_minutes", value=run.session.slot_ms // 60_000 + seed.choice((-8, -5, -3, 3, 6)))


def _block(run: Analysis, seed: random.Random) -> OneEdit:
    kinds = (BlockKind.WARM_UP, BlockKind.COOL_DOWN, BlockKind.RESERVE, BlockKind.ANNOUNCEMENT)
    return RemoveBlock(block=seed.choice([block.name for block in run.plan.blocks if block.kind in kinds] or ["none"]))


def _rung(run: Analysis, seed: random.Random) -> OneEdit:
    cell = _cell(run, seed)
    return TakeRung(ref=cell.ref, rung=seed.choice(cell.move.versions).key)


def _option(run: Analysis, seed: random.Random) -> OneEdit:
    cell = _cell(run, seed)
    field = seed.choice(("options.easier", "options.no_kit", "options.harder"))
    return SetCell(ref=cell.ref, field=field, value=seed.choice(cell.move.versions).key)


def _new_move(run: Analysis, seed: random.Random) -> OneEdit:
    block = seed.choice([block.name for block in run.plan.blocks if block.kind is BlockKind.MAIN])
    moves = [key for key in LIBRARY.keys if LIBRARY.move(key).kind is MoveKind.STRENGTH]
    return AddMove(block=block, move=seed.choice(moves))


def _shift(run: Analysis, seed: random.Random) -> OneEdit:
    cell = _cell(run, seed)
    return ShiftMove(block=cell.ref.block, cell=cell.ref.cell, to=seed.randint(0, 5))


def _round(run: Analysis, seed: random.Random) -> OneEdit:
    cell = _cell(run, seed)
    return RemoveRound(ref=Ref(block=cell.ref.block, round=cell.ref.round))


def _limit(run: Analysis, seed: random.Random) -> OneEdit:
    limits = {*map(str, run.plan.who.limits), str(seed.choice(list(Caution)))}
    return SetHead(field="who.limits", value=sorted(limits))


def _of_cell(field: str, *values: object) -> Spoil:
    return lambda run, seed: SetCell(ref=_cell(run, seed).ref, field=field, value=seed.choice(values))


SPOILS: tuple[Spoil, ...] = (
    _slot, _block, _rung, _option, _new_move, _shift, _round, _limit,
    _of_cell("dose", "5 reps", "6 reps", "14 reps", "18 reps", "0:20", "5 a side", "9 a side", "7 in all"),
    _of_cell("load", "11 kg", "2 x 4 kg", "heavy band"),
    _of_cell("sides", "left only", "right then left", "one side a round"),
    _of_cell("rest", "5 s", "90 s"),
    _of_cell("entry_test", "How many can you do in a minute?", "Did the last round go well, with four left?"),
    lambda run, seed: AddLever(ref=_cell(run, seed).ref, lever=seed.choice(({"pause": "2 s"}, {"tempo": "5-1-2-0"}))),
    lambda run, seed: RemoveKit(at=seed.randrange(max(1, len(run.plan.kit)))),
    lambda _, seed: SetHead(field="level", value=seed.choice(("gentle", "moderate", "hard"))),
    lambda _, seed: SetHead(field="who.newcomers", value=seed.random() < 0.8),
    lambda _, seed: SetHead(field="who.in_room", value=seed.choice((3, 12, 20, 40))),
    lambda _run, _seed: SetHead(field="cut_order", value=None),
    lambda run, seed: SetPart(
        ref=Ref(block=_cell(run, seed).ref.block), field="rest", value=seed.choice(("5 s", "2:00"))
    ),
)  # fmt: skip
