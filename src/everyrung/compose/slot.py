"""Candidates for a session that is too long, too short, or lacks a part: sets, doses and rests first, the slot last."""

from collections.abc import Iterator
from itertools import islice

from everyrung.checks.rules.training import TRAINED
from everyrung.checks.rules.whole_session import HIGHEST_GRADE
from everyrung.compose.case import Case, Remedy
from everyrung.compose.led_rungs import fewer
from everyrung.compose.rungs import change_dose, set_dose
from everyrung.plan.bouts import lacking
from everyrung.plan.edit import next_round
from everyrung.terms.edit import (
    AddBlock,
    AddMove,
    AddRound,
    OneEdit,
    RemoveBlock,
    RemoveMove,
    RemoveRound,
    SetCell,
    SetHead,
    SetPart,
    ShiftMove,
    SkipCell,
)
from everyrung.terms.enums import BlockKind, Mode, MoveKind, Sidedness
from everyrung.terms.finding import OfKind, name_list
from everyrung.terms.move import Move
from everyrung.terms.plan import Ref
from everyrung.terms.session import Block, Cell
from everyrung.timing.cut_order import floor_ms, moving_ms
from everyrung.timing.refit import refit

LEAST_REST_MS, LEAST_ROUND_REST_MS = 10_000, 20_000  # chosen, because in less nobody sets up the next set calmly
SHRUNK = 2 / 3  # of a slot; chosen, because a session that fills less is not finished yet
MOST_LONGER = 2.0  # times a dose; chosen, because a stretch held thrice as long is another stretch
MOST_MOVES = 6  # added at once; chosen, because five one-minute moves make a warm-up
_MOVES = {BlockKind.WARM_UP: MoveKind.WARM_UP, BlockKind.COOL_DOWN: MoveKind.COOL_DOWN}


def overrun(case: Case) -> Iterator[Remedy]:
    """Sets left out by the cut order, fewer repetitions, shorter rests, a round less; and last a longer slot."""
    yield from _by_cut_order(case)
    main = case.session.cells_of(BlockKind.MAIN)
    for steps in (1, 2, 3, 4):
        words = f"{'One repetition' if steps == 1 else f'{steps} repetitions'} fewer in every main set"
        yield from fewer(main, steps, words)
    yield from _shorter_rests(case)
    for block in case.session.of_kind(BlockKind.MAIN)[::-1]:
        if len(block.rounds) > 1:
            last = Ref(block=block.name, round=block.rounds[-1].name)
            yield Remedy(words=f"Leave out round {last.round} of {block.name}", edits=(RemoveRound(ref=last),))
    minutes = -(-case.run.timeline.total_ms // 60_000)
    words = f"Accept: make the slot {minutes} minutes; nothing in the session changes"
    yield Remedy(words=words, edits=(SetHead(field="slot_minutes", value=minutes),), silent=True)


def _by_cut_order(case: Case) -> Iterator[Remedy]:
    """What the cut order takes to fit the slot."""
    fit = refit(case.session, case.session.slot_ms)
    left = {cell.ref for cell in fit.session.cells}
    cells = [cell for cell in case.session.cells if cell.ref not in left]
    if cells:
        edits = tuple(_left_out(case, cells))
        yield Remedy(words=f"Leave out, as you said beforehand: {_gone_words(case, cells)}", edits=edits)


def _gone_words(case: Case, cells: list[Cell]) -> str:
    """'round Three of Main; split squat in round Two'."""
    refs = {cell.ref for cell in cells}
    parts = []
    for block in case.session.blocks:
        for each in block.rounds:
            losses = [cell for cell in each.cells if cell.ref in refs]
            if losses and len(losses) == len(each.cells):
                parts.append(block.name if each.name == block.name else f"round {each.name} of {block.name}")
            else:
                at = "" if each.name == block.name else f" in round {each.name}"
                parts += [f"{cell.move.name.lower()}{at}" for cell in losses]
    return name_list(parts, "; ")


def _left_out(case: Case, sets: list[Cell]) -> Iterator[OneEdit]:
    """Whole blocks, whole rounds, then single sets."""
    refs = {cell.ref for cell in sets}
    for block in case.session.blocks:
        cells = list(block.cells)
        if cells and all(cell.ref in refs for cell in cells):
            yield RemoveBlock(block=block.name)
            continue
        for each in block.rounds[::-1]:
            losses = [cell for cell in each.cells if cell.ref in refs]
            if losses and len(losses) == len(each.cells):
                yield RemoveRound(ref=Ref(block=block.name, round=each.name))
            elif each.name == block.name:
                yield from (RemoveMove(block=block.name, cell=cell.ref.cell) for cell in losses)
            else:
                yield from (SkipCell(ref=cell.ref, skip=True) for cell in losses)


def _shorter_rests(case: Case) -> Iterator[Remedy]:
    """Every rest of the main blocks at its floor."""
    edits: list[OneEdit] = []
    for block in case.session.of_kind(BlockKind.MAIN):
        at = Ref(block=block.name)
        if any(cell.rest_ms > LEAST_REST_MS for cell in block.cells):
            edits.append(SetPart(ref=at, field="rest", value=f"{LEAST_REST_MS // 1000} s"))
        if any(each.rest_ms > LEAST_ROUND_REST_MS for each in block.rounds):
            edits.append(SetPart(ref=at, field="round_rest", value=f"{LEAST_ROUND_REST_MS // 1000} s"))
    if edits:
        yield Remedy(words=f"Rest {LEAST_REST_MS // 1000} s between sets and "
                     f"{LEAST_ROUND_REST_MS // 1000} s between rounds", edits=tuple(edits))  # fmt: skip


def underrun(case: Case) -> Iterator[Remedy]:
    """More repetitions, a round more, longer stretches; and last a shorter slot."""
    main = case.session.cells_of(BlockKind.MAIN)
    for steps in (1, 2, 3, 4):
        words = f"{'One repetition' if steps == 1 else f'{steps} repetitions'} more in every main set"
        edits = tuple(edit for cell in main for edit in set_dose(cell, change_dose(cell, steps, most=15)))
        if edits:
            yield Remedy(words=words, edits=edits, family="more")
    for kind in (BlockKind.COOL_DOWN, BlockKind.WARM_UP):
        yield from _longer(case, kind, (1.25, 1.5, 2.0))
    yield from islice(_round_more(case), 1)
    minutes = max(5, -(-case.run.timeline.total_ms // 60_000))
    if minutes >= SHRUNK * case.session.slot_ms / 60_000:
        words = f"Accept: make the slot {minutes} minutes; nothing in the session changes"
        yield Remedy(words=words, edits=(SetHead(field="slot_minutes", value=minutes),), silent=True)


def _round_more(case: Case) -> Iterator[Remedy]:
    for block in case.session.of_kind(BlockKind.MAIN):
        if block.rounds and block.rounds[0].name != block.name:
            name = next_round([each.name for each in block.rounds])
            steps: list[OneEdit] = []
            for cell in block.rounds[-1].cells:
                dose = change_dose(cell, 2)
                if dose:
                    ref = Ref(block=block.name, round=name, cell=cell.ref.cell)
                    steps.append(SetCell(ref=ref, field="dose", value=str(dose)))
            edits = (AddRound(block=block.name), *steps)
            yield Remedy(words=f"A round more in {block.name}, each set a little longer", edits=edits)


def floor(case: Case) -> Iterator[Remedy]:
    """A warm-up or cool-down that is long enough: longer doses, moves added, or the whole part."""
    kind = next(place.kind for place in case.finding.places if isinstance(place, OfKind))
    there = [block for block in case.session.of_kind(kind) if block.rounds]
    lasting_ms, least_ms = moving_ms(case.session, case.run.timeline, kind), floor_ms(case.session.slot_ms)
    if there:
        doses_ms = sum(bout.duration_ms for block in there for cell in block.cells for bout in cell.bouts)
        enough = 1 + (least_ms - lasting_ms) / doses_ms
        yield from _longer(case, kind, (enough, enough + 0.25))
    fresh = list(_new_moves(case, kind))
    names = [block.name for block in case.session.blocks if block.kind is kind]
    for number in range(1, min(MOST_MOVES, len(fresh)) + 1):
        moves = fresh[:number]
        words = f"Add {', '.join(move.name.lower() for move in moves)}"
        block = there[-1].name if there else str(kind).capitalize()
        edits = [
            edit for at, move in enumerate(moves) for edit in _add_move(block, kind, move, first=not there and not at)
        ]
        if there or not names:
            yield Remedy(words=words, edits=tuple(edits), family="moves")


def _add_move(block: str, kind: BlockKind, move: Move, *, first: bool) -> tuple[OneEdit, ...]:
    """A move of about a minute."""
    form = move.rung("base").form
    dose = "30 s a side" if form.sides is Sidedness.ONE_SIDE else "1:00"
    if form.mode is Mode.REPS and form.sides is Sidedness.ONE_SIDE:
        dose = "8 a side"
    start: OneEdit = AddBlock(kind=kind, move=move.key) if first else AddMove(block=block, move=move.key)
    return start, SetCell(ref=Ref(block=block, round=block, cell=move.key), field="dose", value=dose)


def _new_moves(case: Case, kind: BlockKind) -> Iterator[Move]:
    """Moves for a block of this kind that are not in it, without cautions in question, with the kit that there is."""
    keys = {cell.move.key for block in case.session.of_kind(kind) for cell in block.cells}
    for key in case.library.keys:
        move = case.library.move(key)
        base = move.rung("base")
        gentle = base.grade <= HIGHEST_GRADE[case.session.level]
        fit = gentle and not set(base.cautions) & case.cautions and not lacking(base, case.session.kit)
        if move.kind is _MOVES.get(kind, MoveKind.STRENGTH) and key not in keys and fit:
            yield move


def _longer(case: Case, kind: BlockKind, factors: tuple[float, ...]) -> Iterator[Remedy]:
    """Every dose of a kind of block longer by a factor."""
    cells = [cell for block in case.session.of_kind(kind) for cell in block.cells]
    for factor in (each for each in factors if each <= MOST_LONGER):
        edits: list[OneEdit] = []
        for cell in cells:
            whole = cell.dose.reps or (cell.dose.duration_ms or 0) / 5_000
            edits += set_dose(cell, change_dose(cell, -(-int(whole * (factor - 1) * 100) // 100) or 1))
        if edits:
            yield Remedy(
                words=f"Everything in the {kind} {factor - 1:.0%} longer", edits=tuple(edits), family=f"{kind}"
            )


def reserve(case: Case) -> Iterator[Remedy]:
    """A move in reserve, of a pattern that the session has least of, with kit that is in hand anyway or none."""
    patterns = [cell.move.pattern for cell in case.session.cells]
    fresh = [move for move in _new_moves(case, BlockKind.RESERVE) if not move.rung("base").needs_kit]
    for move in sorted(fresh, key=lambda each: patterns.count(each.pattern))[:5]:
        edits = (AddBlock(kind=BlockKind.RESERVE, move=move.key),)
        yield Remedy(words=f"Keep {move.name.lower()} in reserve", edits=edits)


def pattern_balance(case: Case) -> Iterator[Remedy]:
    """A move of the pattern that is missing, where only one is."""
    blocks = case.session.of_kind(BlockKind.MAIN)
    there = {cell.move.pattern for block in blocks for cell in block.cells}
    lacking = [pattern for pattern in TRAINED if pattern not in there]
    for move in _new_moves(case, BlockKind.MAIN):
        if lacking == [move.pattern]:
            yield Remedy(words=f"Add {move.name.lower()}", edits=(AddMove(block=blocks[-1].name, move=move.key),))


def floor_changes(case: Case) -> Iterator[Remedy]:
    """The floor moves of a block together, at its end or at its start."""
    for name in {cell.ref.block: None for cell in case.cells}:
        block = next(each for each in case.session.blocks if each.name == name)
        on_floor = {cell.ref.cell: cell.rung.form.position.on_floor for cell in block.cells}
        for last in (True, False):
            order = sorted(on_floor, key=on_floor.__getitem__, reverse=not last)
            where = "last" if last else "first"
            edits = tuple(_shifts(block, order))
            if edits:
                yield Remedy(words=f"Put the floor moves together, {where} in each round", edits=edits)


def _shifts(block: Block, order: list[str]) -> Iterator[OneEdit]:
    now = list(dict.fromkeys(cell.ref.cell for cell in block.cells))
    for to, cell in enumerate(order):
        if now[to] != cell:
            now.remove(cell)
            now.insert(to, cell)
            yield ShiftMove(block=block.name, cell=cell, to=to)
