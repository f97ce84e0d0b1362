"""Candidates for a part that is missing or too small: a warm-up, a cool-down, a reserve, a pattern."""

from collections import Counter
from collections.abc import Iterator

from everyrung.checks.rules.announcement import SCREENING_LINE, STOP_LINE
from everyrung.checks.rules.training import STRETCH_MS, TRAINED, patterns_left_cold, prepares
from everyrung.compose.add_move import rung_that_fits, with_fitting_rung
from everyrung.compose.case import Case, PlanRun, Remedy
from everyrung.compose.slot import longer
from everyrung.terms.edit import AddBlock, AddMove, OneEdit, SetCell, SetPart, Several, TakeRung
from everyrung.terms.enums import BlockKind, Mode, MoveKind, Sidedness
from everyrung.terms.finding import OfKind
from everyrung.terms.move import Move, Rung
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
        words = f"Add {', '.join(move.name.lower() for move, _ in moves)}"
        block = there[-1].name if there else str(kind).capitalize()
        edits = [
            edit
            for at, (_, rung) in enumerate(moves)
            for edit in _add_move(block, kind, rung, first=not there and not at)
        ]
        if there or not names:
            yield Remedy(words=words, edits=tuple(edits), family="moves")


def whole_part(start: PlanRun, kind: BlockKind) -> Several | None:
    """A warm-up or cool-down as long as the slot asks for, of moves that fit what is trained; None where none fits."""
    moves = _most_useful(start, kind)[: -(-floor_ms(start.session.slot_ms) // MOVE_MS)]
    name = str(kind).capitalize()
    edits = [edit for at, (_, rung) in enumerate(moves) for edit in _add_move(name, kind, rung, first=not at)]
    words = f"Add a {kind}: {', '.join(move.name.lower() for move, _ in moves)}"
    return Several(edits=tuple(edits), words=words) if edits else None


def _most_useful(case: PlanRun, kind: BlockKind) -> list[tuple[Move, Rung]]:
    """The moves that may be added; before a main part first those that prepare what nothing yet prepares, after it
    those that stretch what worked most.
    """
    moves = new_moves(case, kind)
    if kind is BlockKind.COOL_DOWN:
        muscles = Counter(word for cell in case.session.cells_of(BlockKind.MAIN) for word in cell.move.focus)
        return sorted(moves, key=lambda each: -sum(muscles[word] for word in each[0].focus))
    if kind is not BlockKind.WARM_UP:
        return moves
    useful: list[tuple[Move, Rung]] = []
    for pattern in patterns_left_cold(case.session):
        if not any(prepares(move, pattern) for move, _ in useful):
            useful += [each for each in moves if prepares(each[0], pattern)][:1]
    return [*useful, *(each for each in moves if each not in useful)]


def _add_move(block: str, kind: BlockKind, rung: Rung, *, first: bool) -> tuple[OneEdit, ...]:
    """A move of about a minute, in a version."""
    dose = "30 s a side" if rung.form.sides is Sidedness.ONE_SIDE else "1:00"
    if rung.form.mode is Mode.REPS and rung.form.sides is Sidedness.ONE_SIDE:
        dose = "8 a side"
    start: OneEdit = AddBlock(kind=kind, move=rung.move) if first else AddMove(block=block, move=rung.move)
    at = Ref(block=block, round=block, cell=rung.move)
    return start, *_in_version(at, rung), SetCell(ref=at, field="dose", value=dose)


def _in_version(at: Ref, rung: Rung) -> tuple[OneEdit, ...]:
    """A move comes in its base; what makes it another version."""
    return () if rung.key == "base" else (TakeRung(ref=at, rung=rung.key, column=True),)


def new_moves(case: PlanRun, kind: BlockKind) -> list[tuple[Move, Rung]]:
    """Moves for a block of this kind that are not in it, each in the version that the level allows, that nobody who
    comes has to avoid, with the kit that there is; first those that come as they are.
    """
    keys = {cell.move.key for block in case.session.of_kind(kind) for cell in block.cells}
    moves = [case.library.move(key) for key in case.library.keys if key not in keys]
    of_kind = [move for move in moves if move.kind is _MOVES.get(kind, MoveKind.STRENGTH)]
    versions = [(move, rung) for move in of_kind if (rung := rung_that_fits(case, move))]
    return sorted(versions, key=lambda each: each[1].key != "base")


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
    fresh = [each for each in new_moves(case, BlockKind.RESERVE) if not each[1].needs_kit]
    name = str(BlockKind.RESERVE).capitalize()
    for move, rung in sorted(fresh, key=lambda each: patterns.count(each[0].pattern))[:5]:
        at = Ref(block=name, round=name, cell=move.key)
        edits = (AddBlock(kind=BlockKind.RESERVE, move=move.key), *_in_version(at, rung))
        yield Remedy(words=f"Keep {move.name.lower()} in reserve", edits=edits)


def pattern_balance(case: Case) -> Iterator[Remedy]:
    """A move of the pattern that is missing, where only one is."""
    blocks = case.session.of_kind(BlockKind.MAIN)
    there = {cell.move.pattern for block in blocks for cell in block.cells}
    lacking = [pattern for pattern in TRAINED if pattern not in there]
    for move, rung in new_moves(case, BlockKind.MAIN):
        if lacking == [move.pattern]:
            edit = with_fitting_rung(case, AddMove(block=blocks[-1].name, move=move.key), rung.key)
            edits = edit.edits if isinstance(edit, Several) else (edit,)
            yield Remedy(words=f"Add {move.name.lower()}", edits=edits)
