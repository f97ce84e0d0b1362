"""Candidates for a part that is missing or too small: a warm-up, a cool-down, a reserve, a pattern."""

from collections import Counter
from collections.abc import Iterator

from everyrung.checks.rules.announcement import SCREENING_LINE, STOP_LINE
from everyrung.checks.rules.training import STRETCH_MS, TRAINED, patterns_left_cold, prepares
from everyrung.checks.rules.whole_session import HIGHEST_GRADE
from everyrung.compose.case import Case, PlanRun, Remedy
from everyrung.compose.slot import longer
from everyrung.plan.bouts import lacking
from everyrung.terms.edit import AddBlock, AddMove, OneEdit, SetCell, SetPart, Several
from everyrung.terms.enums import BlockKind, Mode, MoveKind, Sidedness
from everyrung.terms.finding import OfKind
from everyrung.terms.move import Move
from everyrung.terms.plan import Ref
from everyrung.terms.units import Dose
from everyrung.timing.cut_order import floor_ms, moving_ms

MOVE_MS = 60_000  # what a move that is added takes
MOST_MOVES = 6  # added at once; chosen, because five one-minute moves make a warm-up
_MOVES = {BlockKind.WARM_UP: MoveKind.WARM_UP, BlockKind.COOL_DOWN: MoveKind.COOL_DOWN}


def floor(case: Case) -> Iterator[Remedy]:
    """A warm-up or cool-down that is long enough: longer doses, moves added, or the whole part."""
    kind = next(place.kind for place in case.finding.places if isinstance(place, OfKind))
    there = [block for block in case.session.of_kind(kind) if block.rounds]
    lasting_ms, least_ms = moving_ms(case.session, case.run.timeline, kind), floor_ms(case.session.slot_ms)
    if there:
        doses_ms = sum(bout.duration_ms for block in there for cell in block.cells for bout in cell.bouts)
        enough = 1 + (least_ms - lasting_ms) / doses_ms
        yield from longer(case, kind, (enough, enough + 0.25))
    fresh = _most_useful(case, kind)
    names = [block.name for block in case.session.blocks if block.kind is kind]
    least = 1 if there and lasting_ms else -(-(least_ms - lasting_ms) // MOVE_MS)
    for number in range(min(least, len(fresh)) or 1, min(MOST_MOVES, len(fresh)) + 1):
        moves = fresh[:number]
        words = f"Add {', '.join(move.name.lower() for move in moves)}"
        block = there[-1].name if there else str(kind).capitalize()
        edits = [
            edit for at, move in enumerate(moves) for edit in _add_move(block, kind, move, first=not there and not at)
        ]
        if there or not names:
            yield Remedy(words=words, edits=tuple(edits), family="moves")


def whole_part(start: PlanRun, kind: BlockKind) -> Several | None:
    """A warm-up or cool-down as long as the slot asks for, of moves that fit what is trained; None where none fits."""
    moves = _most_useful(start, kind)[: -(-floor_ms(start.session.slot_ms) // MOVE_MS)]
    name = str(kind).capitalize()
    edits = [edit for at, move in enumerate(moves) for edit in _add_move(name, kind, move, first=not at)]
    words = f"Add a {kind}: {', '.join(move.name.lower() for move in moves)}"
    return Several(edits=tuple(edits), words=words) if edits else None


def _most_useful(case: PlanRun, kind: BlockKind) -> list[Move]:
    """The moves that may be added; before a main part first those that prepare what nothing yet prepares, after it
    those that stretch what worked most.
    """
    moves = list(new_moves(case, kind))
    if kind is BlockKind.COOL_DOWN:
        muscles = Counter(word for cell in case.session.cells_of(BlockKind.MAIN) for word in cell.move.focus)
        return sorted(moves, key=lambda move: -sum(muscles[word] for word in move.focus))
    if kind is not BlockKind.WARM_UP:
        return moves
    useful: list[Move] = []
    for pattern in patterns_left_cold(case.session):
        if not any(prepares(each, pattern) for each in useful):
            useful += [each for each in moves if prepares(each, pattern)][:1]
    return [*useful, *(each for each in moves if each not in useful)]


def _add_move(block: str, kind: BlockKind, move: Move, *, first: bool) -> tuple[OneEdit, ...]:
    """A move of about a minute."""
    form = move.rung("base").form
    dose = "30 s a side" if form.sides is Sidedness.ONE_SIDE else "1:00"
    if form.mode is Mode.REPS and form.sides is Sidedness.ONE_SIDE:
        dose = "8 a side"
    start: OneEdit = AddBlock(kind=kind, move=move.key) if first else AddMove(block=block, move=move.key)
    return start, SetCell(ref=Ref(block=block, round=block, cell=move.key), field="dose", value=dose)


def new_moves(case: PlanRun, kind: BlockKind) -> Iterator[Move]:
    """Moves for a block of this kind that are not in it, without cautions in question, with the kit that there is."""
    keys = {cell.move.key for block in case.session.of_kind(kind) for cell in block.cells}
    for key in case.library.keys:
        move = case.library.move(key)
        base = move.rung("base")
        gentle = base.grade <= HIGHEST_GRADE[case.session.level]
        fit = gentle and not set(base.cautions) & case.cautions and not lacking(base, case.session.kit)
        if move.kind is _MOVES.get(kind, MoveKind.STRENGTH) and key not in keys and fit:
            yield move


def unsaid(case: Case) -> Iterator[Remedy]:
    """What is to be said before anyone moves, as the last sentence of the announcement."""
    line = {"stop-signs-unsaid": STOP_LINE, "screening-unsaid": SCREENING_LINE}[case.finding.rule]
    for block in case.session.of_kind(BlockKind.ANNOUNCEMENT)[:1]:
        say = SetPart(ref=Ref(block=block.name), field="say", value=[*block.say, line])
        yield Remedy(words=f"Say: {line}", edits=(say,))


def stretch_short(case: Case) -> Iterator[Remedy]:
    """Each stretch held as long as a muscle asks for."""
    edits = tuple(
        SetCell(ref=cell.ref, field="dose", value=str(Dose(duration_ms=STRETCH_MS, per=cell.dose.per)))
        for cell in case.cells
    )
    yield Remedy(words=f"Hold each stretch {STRETCH_MS // 1000} s", edits=edits)


def reserve(case: Case) -> Iterator[Remedy]:
    """A move in reserve, of a pattern that the session has least of, with kit that is in hand anyway or none."""
    patterns = [cell.move.pattern for cell in case.session.cells]
    fresh = [move for move in new_moves(case, BlockKind.RESERVE) if not move.rung("base").needs_kit]
    for move in sorted(fresh, key=lambda each: patterns.count(each.pattern))[:5]:
        edits = (AddBlock(kind=BlockKind.RESERVE, move=move.key),)
        yield Remedy(words=f"Keep {move.name.lower()} in reserve", edits=edits)


def pattern_balance(case: Case) -> Iterator[Remedy]:
    """A move of the pattern that is missing, where only one is."""
    blocks = case.session.of_kind(BlockKind.MAIN)
    there = {cell.move.pattern for block in blocks for cell in block.cells}
    lacking = [pattern for pattern in TRAINED if pattern not in there]
    for move in new_moves(case, BlockKind.MAIN):
        if lacking == [move.pattern]:
            yield Remedy(words=f"Add {move.name.lower()}", edits=(AddMove(block=blocks[-1].name, move=move.key),))
