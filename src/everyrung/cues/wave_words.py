"""What is said to waves: who does which of the moves that are done side by side, and when they change over."""

from collections.abc import Iterator

from everyrung.cues.candidates import BREATH_MS, CueCandidate, SetToCue
from everyrung.cues.speech import number_words
from everyrung.terms.enums import CueKind
from everyrung.terms.plan import LETTERS
from everyrung.terms.sentences import lower_first
from everyrung.terms.session import Cell
from everyrung.timing.turns import at_turn, side_by_side

CHANGE_OVER = "Change over."


def first_turn(one: SetToCue) -> str:
    """'Two waves. A: ball wall squat. B: split squat.' before the first turn; '' where all do the same."""
    group = _group(one)
    if len(group) == 1 or one.cell is not next(filter(None, group)):
        return ""
    return f"{number_words(len(group)).capitalize()} waves. {_does(group, 0)}"


def later_turns(one: SetToCue) -> Iterator[CueCandidate]:
    """That they change over, and to what; also when the first wave rests."""
    group = _group(one)
    turn = group.index(one.cell)
    if turn:
        begin, until = one.visit.turn_ms + BREATH_MS, one.visit.count_in_ms - BREATH_MS
        yield one.candidate(CueKind.CHANGE, f"{CHANGE_OVER} {_does(group, turn)}", begin, until, best=begin)
    for after, rest in enumerate(one.visit.rests, 1):
        begin = rest.at_ms + BREATH_MS
        text = f"{CHANGE_OVER} {_does(group, turn + after)}"
        yield one.candidate(CueKind.CHANGE, text, begin, rest.end_ms, best=begin)


def _group(one: SetToCue) -> tuple[Cell | None, ...]:
    round_ = one.visit.work[0].round
    groups = side_by_side(round_) if round_ and round_.waves else ()
    return next((group for group in groups if one.cell in group), (one.cell,))


def _does(group: tuple[Cell | None, ...], turn: int) -> str:
    """What each wave does in a turn."""
    does = zip(LETTERS, at_turn(group, turn), strict=False)
    return " ".join(f"{letter}: {_name(cell)}." for letter, cell in does)


def _name(cell: Cell | None) -> str:
    name = cell.rung.name if cell else "rest"
    return lower_first(name)
