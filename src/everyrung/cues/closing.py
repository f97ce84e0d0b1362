"""The end of a session: thanks, what may be felt, where the kit goes, what next time brings; within the last set."""

from collections import Counter
from collections.abc import Callable, Iterator

from everyrung.cues.candidates import BREATH_MS, CueCandidate
from everyrung.cues.cell_timing import CellTiming
from everyrung.cues.kit_words import kit_back_words
from everyrung.terms.enums import BlockKind, CueKind
from everyrung.terms.plan import Who
from everyrung.terms.session import Session

FROM = 0.45  # of the last set; chosen, so that it is settled first
WORTHS = (95, 90, 85, 80, 75)  # of the closing words, in their order; chosen, above any point on form
ALARM = "Sharp pain is different: have it looked at."
NEXT_TIME = (
    "Six or more left in every set? Next time, one step up."  # the rule of docs/history.md for one evening alone
)
FELT = 2  # muscle groups that are named; chosen, because more is a list


def closing(session: Session, last: CellTiming, length_ms: Callable[[str], int]) -> Iterator[CueCandidate]:
    """In order, within the last stretch of work; none where the plan ends with words of the coach's own."""
    if session.blocks[-1].kind is BlockKind.ANNOUNCEMENT:
        return
    span = last.work[-1]
    begin = span.at_ms + round(FROM * span.duration_ms)
    for place, (text, worth) in enumerate(zip(closing_words(session), WORTHS, strict=False)):
        yield CueCandidate(
            kind=CueKind.BREAK, text=text, ref=last.cell.ref, length_ms=length_ms(text), from_ms=begin,
            until_ms=span.end_ms - BREATH_MS, best_ms=begin, worth=worth, sequence=span.at_ms, place=place,
        )  # fmt: skip


def closing_words(session: Session) -> tuple[str, ...]:
    """Thanks, what to feel, what is no good sign, where the kit goes, what next time brings."""
    items = frozenset(need.item for cell in session.cells for need in cell.rung.kit)
    return tuple(filter(None, (_thanks(session.who), _felt(session), ALARM, kit_back_words(items), NEXT_TIME)))


def _thanks(who: Who) -> str:
    if who.in_room and who.at_home:
        return "Thank you, here and at home: well done."
    return "Thank you for coming: well done." if who.in_room else "Thank you for joining in: well done."


def _felt(session: Session) -> str:
    """The muscles that most of the main sets were for."""
    main = [cell for block in session.of_kind(BlockKind.MAIN) for cell in block.cells]
    counts = Counter(focus for cell in main for focus in cell.move.focus)
    names = [f"the {name}" for name, _ in counts.most_common(FELT)]
    return f"You may feel it in {' and '.join(names)} for a day or two." if names else ""
