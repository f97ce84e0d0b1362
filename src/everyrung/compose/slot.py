"""Candidates for a session that is too long or too short: sets, doses and rests first, the slot last."""

from collections.abc import Iterator, Sequence
from itertools import islice

from everyrung.compose.case import Case, Remedy
from everyrung.compose.led_rungs import fewer
from everyrung.compose.rungs import change_dose, set_dose
from everyrung.plan.doses import HOLD_STEP_MS
from everyrung.plan.edit import next_round
from everyrung.terms.edit import (
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
from everyrung.terms.enums import BlockKind
from everyrung.terms.finding import name_list
from everyrung.terms.plan import Ref
from everyrung.terms.session import Block, Cell, Session
from everyrung.timing.refit import UNDERFILL_SHARE, refit

LEAST_REST_MS, LEAST_ROUND_REST_MS = 10_000, 20_000  # chosen, because in less nobody sets up the next set calmly
MOST_REST_MS = 75_000  # chosen, because in more one cools
SHRUNK = 2 / 3  # of a slot; chosen, because a session that fills less is not finished yet
MOST_LONGER = 2.0  # times a dose; chosen, because a stretch held thrice as long is another stretch


def overrun(case: Case) -> Iterator[Remedy]:
    """Sets left out by the cut order, fewer repetitions, shorter rests, a round or the last sets less; and last a
    longer slot. What would save too little is not among them.
    """
    yield from _by_cut_order(case)
    over_ms = case.run.timeline.total_ms - case.session.slot_ms
    main = case.session.cells_of(BlockKind.MAIN)
    rests_ms = _spare_rest_ms(case)
    for steps in (1, 2, 3, 4):
        words = f"{'One repetition' if steps == 1 else f'{steps} repetitions'} fewer in every main set"
        if _steps_ms(main, steps) >= over_ms:
            yield from fewer(main, steps, words)
    if rests_ms >= over_ms:
        yield from _shorter_rests(case)
    for rests in _shorter_rests(case):
        for steps in (2, 4):
            if rests_ms + _steps_ms(main, steps) >= over_ms:
                words = f"{steps} repetitions fewer in every main set"
                yield from (_both(rests, each) for each in fewer(main, steps, words))
    for block in case.session.of_kind(BlockKind.MAIN)[::-1]:
        if len(block.rounds) > 1:
            last = Ref(block=block.name, round=block.rounds[-1].name)
            yield Remedy(words=f"Leave out round {last.round} of {block.name}", edits=(RemoveRound(ref=last),))
    yield from _without_last_sets(case, over_ms)
    minutes = -(-case.run.timeline.total_ms // 60_000)
    words = f"Accept: make the slot {minutes} minutes; nothing in the session changes"
    yield Remedy(words=words, edits=(SetHead(field="slot_minutes", value=minutes),), silent=True)


def _steps_ms(cells: Sequence[Cell], steps: int) -> int:
    """What some repetitions, or steps of time, in each set come to."""
    return sum(steps * (bout.rep_ms if bout.reps else HOLD_STEP_MS) for cell in cells for bout in cell.bouts)


def _spare_rest_ms(case: Case) -> int:
    """By how much the rests of the main blocks are above their floors."""
    blocks = case.session.of_kind(BlockKind.MAIN)
    sets = sum(max(0, cell.rest_ms - LEAST_REST_MS) for block in blocks for cell in block.cells)
    return sets + sum(max(0, each.rest_ms - LEAST_ROUND_REST_MS) for block in blocks for each in block.rounds)


def _without_last_sets(case: Case, over_ms: int) -> Iterator[Remedy]:
    """As many sets of the last rounds left out, from the end, as the slot asks for; each move stays in its first."""
    main = [cell for block in case.session.of_kind(BlockKind.MAIN) for each in block.rounds[1:] for cell in each.cells]
    losses: list[Cell] = []
    saved_ms = 0
    while main and saved_ms < over_ms:
        losses.append(main.pop())
        saved_ms += sum(bout.duration_ms for bout in losses[-1].bouts) + losses[-1].rest_ms
    if losses and saved_ms >= over_ms:
        yield Remedy(words=f"Leave out: {_gone_words(case, losses)}", edits=tuple(_left_out(case, losses)))


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


def _both(one: Remedy, other: Remedy) -> Remedy:
    """Two changes as one."""
    return Remedy(words=f"{one.words}; {other.words}", edits=(*one.edits, *other.edits), family="both")


def underrun(case: Case) -> Iterator[Remedy]:
    """More repetitions, longer rests, a round more, longer stretches; and last a shorter slot."""
    yield from _more_repetitions(case)
    rests = list(islice(longer_rests(case.session, case.run.timeline.total_ms), 1))
    yield from rests
    yield from islice(_round_more(case), 1)
    yield from (_both(rest, each) for rest in rests for each in islice(_more_repetitions(case, least=2), 2))
    for kind in (BlockKind.COOL_DOWN, BlockKind.WARM_UP):
        yield from longer(case, kind, (1.25, 1.5, 2.0))
    minutes = max(5, -(-case.run.timeline.total_ms // 60_000))
    if minutes >= SHRUNK * case.session.slot_ms / 60_000:
        words = f"Accept: make the slot {minutes} minutes; nothing in the session changes"
        yield Remedy(words=words, edits=(SetHead(field="slot_minutes", value=minutes),), silent=True)


def _more_repetitions(case: Case, least: int = 0) -> Iterator[Remedy]:
    """More in every main set, by as much as the slot has room for, or from `least` on."""
    main = case.session.cells_of(BlockKind.MAIN)
    spare_ms = case.session.slot_ms - case.run.timeline.total_ms
    short_ms = spare_ms - UNDERFILL_SHARE * case.session.slot_ms
    for steps in (1, 2, 3, 4):
        if steps < least or (not least and not short_ms <= _steps_ms(main, steps) <= spare_ms):
            continue
        words = f"{'One repetition' if steps == 1 else f'{steps} repetitions'} more in every main set"
        edits = tuple(edit for cell in main for edit in set_dose(cell, change_dose(cell, steps, most=15)))
        if edits:
            yield Remedy(words=words, edits=edits, family="more")


def longer_rests(session: Session, total_ms: int) -> Iterator[Remedy]:
    """Rests of the main blocks as much longer as the slot has room for, then longer still, none above the most: talk
    and ways are rest too, so that what is asked for is not what is added.
    """
    blocks = session.of_kind(BlockKind.MAIN)
    count = sum(1 for block in blocks for _ in block.cells)
    spare_ms = session.slot_ms - total_ms
    rest_ms = min((cell.rest_ms for block in blocks for cell in block.cells), default=0)
    least_ms = max(rest_ms + 5_000, (rest_ms + spare_ms // max(1, count)) // 5_000 * 5_000)
    if spare_ms <= 0 or rest_ms >= MOST_REST_MS:
        return
    for longer_ms in range(min(least_ms, MOST_REST_MS), MOST_REST_MS + 1, 5_000):
        rest = f"{longer_ms // 1000} s"
        edits = tuple(SetPart(ref=Ref(block=each.name), field="rest", value=rest) for each in blocks)
        yield Remedy(words=f"Rest {rest} between sets", edits=edits)


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
            yield Remedy(words=f"One more round in {block.name}, each set a little longer", edits=edits)


def longer(case: Case, kind: BlockKind, factors: tuple[float, ...]) -> Iterator[Remedy]:
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


def floor_changes(case: Case) -> Iterator[Remedy]:
    """The floor moves of a block together, at its end or at its start."""
    for name in {cell.ref.block: None for cell in case.cells}:
        block = next(each for each in case.session.blocks if each.name == name)
        on_floor = {cell.ref.cell: cell.rung.form.position.on_floor for cell in block.cells}
        for last in (True, False):
            order = sorted(on_floor, key=on_floor.__getitem__, reverse=not last)
            where = "last" if last else "first"
            edits = tuple(shifts(block, order))
            if edits:
                yield Remedy(words=f"Put the floor moves together, {where} in each round", edits=edits)


def shifts(block: Block, order: list[str]) -> Iterator[OneEdit]:
    """The edits that bring a block's columns into an order, by their keys."""
    now = list(dict.fromkeys(cell.ref.cell for cell in block.cells))
    for to, cell in enumerate(order):
        if now[to] != cell:
            now.remove(cell)
            now.insert(to, cell)
            yield ShiftMove(block=block.name, cell=cell, to=to)
