"""Shorter lengths of one design: each a true part of the longer, its sets unchanged and in their order."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, islice, product

from everyrung.checks.cells import and_list
from everyrung.checks.rules.training import patterns_left_cold
from everyrung.compose.case import PlanRun, Remedy
from everyrung.cues.speech import number_words
from everyrung.terms.edit import OneEdit, RemoveBlock, RemoveMove, RemoveRound, SetHead, SetPart
from everyrung.terms.enums import BlockKind
from everyrung.terms.plan import Ref
from everyrung.terms.session import Block, Cell, Session
from everyrung.timing.cut_order import floor_ms, moving_ms, without

USUAL = (45, 30, 20)  # minutes; chosen, because classes are put up at 20, 30, 45 and 60
LEAST_REST_S, MOST_REST_S = 15, 75  # between sets; chosen: in less nobody sets up calmly, in more one cools
FULL = 0.96  # of a slot; chosen, a little over the least that a slot is to be filled
MOST_MOVES = 12  # of the main part whose every part is looked at; chosen, because that takes a second a length
FEWEST_MOVES, FEWEST_ROUNDS = 2, 2  # that are left; chosen, because one move or one round is another kind of session
_Column = tuple[str, str]  # a block, and a move of it in every round
MOST_PARTS = 60  # tried; chosen, as sums are a minute short where moves begin to follow others; 15 ms each


@dataclass(frozen=True, slots=True, kw_only=True)
class _Part:
    """What goes of a session: moves of main blocks, how many last rounds, moves around the main part; with how long the
    rest between sets is then, and what the part is worth.
    """

    moves: tuple[_Column, ...]
    rounds: int
    around: tuple[_Column, ...]
    rest_s: int
    worth: tuple[int, int]


def parts(start: PlanRun, minutes: int) -> Iterator[Remedy]:
    """Parts of the session that fill a shorter slot: of those with the most patterns first the longest."""
    every = sorted(_parts(start, minutes), key=lambda part: part.worth, reverse=True)
    for part in islice(every, MOST_PARTS):
        yield Remedy(words=f"{minutes} minutes", edits=tuple(_edits(start.session, part, minutes)))


def why_none(start: PlanRun) -> str:
    """Why no part of a session is so long as is asked for."""
    count = sum(len(_keys(block)) for block in start.session.of_kind(BlockKind.MAIN))
    if count > MOST_MOVES:
        return f"it has {count} moves in its main parts, and of more than {MOST_MOVES} parts are not looked for"
    return "no part of it is so long"


def is_part(before: Session, after: Session) -> bool:
    """Whether every set of a session stands in another one too, the same and in the same order."""
    sets = iter([_set(cell) for cell in before.cells])
    return all(_set(cell) in sets for cell in after.cells)


def _set(cell: Cell) -> tuple[object, ...]:
    return cell.move.key, cell.rung.form, cell.dose, tuple(str(bout.load) for bout in cell.bouts)


def _parts(start: PlanRun, minutes: int) -> Iterator[_Part]:
    blocks = start.session.of_kind(BlockKind.MAIN)
    every = [(block.name, key) for block in blocks for key in _keys(block)]
    if len(every) > MOST_MOVES or not every:
        return
    most_rounds = max(0, max(len(block.rounds) for block in blocks) - FEWEST_ROUNDS)
    sizes = range(len(every) - min(FEWEST_MOVES, len(every)) + 1)
    sets_of_moves = [moves for size in sizes for moves in combinations(every, size)]
    for around in (_around(start, 60_000 * minutes), ()):
        for moves, rounds in product(sets_of_moves, range(most_rounds + 1)):
            part = _fit(start, moves, rounds, around, minutes)
            if part:
                yield part


def _fit(
    start: PlanRun, moves: Sequence[_Column], rounds: int, around: Sequence[_Column], minutes: int
) -> _Part | None:
    """A part with the rest that makes it fill the slot, by the sums of the longer session; None where none does."""
    losses = {*moves, *around}
    last = {block.name: _last_rounds(block, rounds) for block in start.session.of_kind(BlockKind.MAIN)}
    left = [
        cell
        for cell in start.session.cells
        if (cell.ref.block, cell.ref.cell) not in losses and cell.ref.round not in last.get(cell.ref.block, [])
    ]
    refs = {cell.ref for cell in left}
    lasting_ms = sum(
        span.duration_ms for span in start.run.timeline.spans if span.cell is None or span.cell.ref in refs
    )
    main = [cell for cell in left if cell.ref.block in last]
    if not main:
        return None
    rest_s = sum(cell.rest_ms for cell in main) // (1000 * len(main))
    rest_s += (60_000 * minutes - lasting_ms) // (1000 * len(main))
    spare_ms = 60_000 * minutes - lasting_ms + 1000 * len(main) * (MOST_REST_S - rest_s)
    if rest_s < LEAST_REST_S or (rest_s > MOST_REST_S and spare_ms > (1 - FULL) * 60_000 * minutes + 1000 * len(main)):
        return None
    patterns = {cell.move.pattern for cell in main}
    return _Part(
        moves=tuple(moves),
        rounds=rounds,
        around=tuple(around),
        rest_s=min(rest_s, MOST_REST_S),
        worth=(len(patterns), sum(bout.duration_ms for cell in main for bout in cell.bouts)),
    )


def _keys(block: Block) -> list[str]:
    return list(dict.fromkeys(cell.ref.cell for cell in block.cells))


def _around(start: PlanRun, slot_ms: int) -> tuple[_Column, ...]:
    """Moves of warm-up and cool-down that a shorter slot does not ask for: the last ones, as long as the floor holds,
    and the warm-up prepares what it prepared.
    """
    losses: list[_Column] = []
    for kind in (BlockKind.WARM_UP, BlockKind.COOL_DOWN):
        spare_ms = moving_ms(start.session, start.run.timeline, kind) - floor_ms(slot_ms)
        for block in start.session.of_kind(kind):
            for key in _keys(block)[:0:-1]:
                column = block.name, key
                takes_ms = sum(
                    span.duration_ms
                    for span in start.run.timeline.spans
                    if span.cell and (span.cell.ref.block, span.cell.ref.cell) == column
                )
                if takes_ms <= spare_ms and not _is_colder(start.session, (*losses, column)):
                    spare_ms -= takes_ms
                    losses.append(column)
    return tuple(losses)


def _is_colder(session: Session, losses: Sequence[_Column]) -> bool:
    """Whether the main part is less well prepared without these."""
    refs = [cell.ref for cell in session.cells if (cell.ref.block, cell.ref.cell) in losses]
    return len(list(patterns_left_cold(without(session, refs)))) > len(list(patterns_left_cold(session)))


def _edits(session: Session, part: _Part, minutes: int) -> Iterator[OneEdit]:
    """What makes the part of the session: its slot, what goes, its rests, and words that name its size."""
    old_minutes = session.slot_ms // 60_000
    yield SetHead(field="slot_minutes", value=minutes)
    if session.title.startswith(f"{old_minutes} minutes"):
        yield SetHead(field="title", value=f"{minutes}{session.title.removeprefix(str(old_minutes))}")
    yield from _rest_edits(session, part)
    for block in session.of_kind(BlockKind.MAIN):
        if all((block.name, key) in part.moves for key in _keys(block)):
            yield RemoveBlock(block=block.name)
            continue
        for each in _last_rounds(block, part.rounds)[::-1]:
            yield RemoveRound(ref=Ref(block=block.name, round=each))
        yield from (RemoveMove(block=name, cell=key) for name, key in part.moves if name == block.name)
    yield from (RemoveMove(block=name, cell=key) for name, key in part.around)
    yield from _say_edits(session, part)


def _rest_edits(session: Session, part: _Part) -> Iterator[OneEdit]:
    for block in session.of_kind(BlockKind.MAIN):
        at = Ref(block=block.name)
        between_s = max((each.rest_ms for each in block.rounds), default=0) // 1000
        usual_s = min((cell.rest_ms for cell in block.cells), default=0) // 1000
        yield SetPart(ref=at, field="rest", value=f"{part.rest_s} s")
        if between_s > usual_s:
            yield SetPart(ref=at, field="round_rest", value=f"{part.rest_s + between_s - usual_s} s")


def _last_rounds(block: Block, count: int) -> list[str]:
    """The names of the last rounds of a block, but those that are to be left."""
    return [each.name for each in block.rounds[FEWEST_ROUNDS:]][-count:] if count else []


def _say_edits(session: Session, part: _Part) -> Iterator[OneEdit]:
    """'Three rounds of five moves', where it is said, with what is left."""
    blocks = session.of_kind(BlockKind.MAIN)
    rounds = max(len(block.rounds) for block in blocks)
    moves = sum(len(_keys(block)) for block in blocks)
    before = _size_words(rounds, moves)
    after = _size_words(rounds - min(part.rounds, max(0, rounds - FEWEST_ROUNDS)), moves - len(part.moves))
    for block in session.blocks:
        if any(before in line for line in block.say):
            say = [line.replace(before, after) for line in block.say]
            yield SetPart(ref=Ref(block=block.name), field="say", value=say)


def _size_words(rounds: int, moves: int) -> str:
    return f"{number_words(rounds).capitalize()} rounds of {number_words(moves)} moves"


def part_words(session: Session, part: Session) -> str:
    """What a shorter session lacks of one that it is part of: '20 minutes: two rounds; without plank and row'."""
    names = {(cell.ref.block, cell.ref.cell): cell.move.name.lower() for cell in session.cells}
    left = {(cell.ref.block, cell.ref.cell) for cell in part.cells}
    losses = list(dict.fromkeys(name for column, name in names.items() if column not in left))
    before, after = (max(len(block.rounds) for block in each.of_kind(BlockKind.MAIN)) for each in (session, part))
    shape = [f"{number_words(after)} rounds"] if after < before else []
    shape += [f"without {and_list(losses)}"] if losses else []
    return f"{part.slot_ms // 60_000} minutes: {'; '.join(shape) or 'shorter rests'}"
