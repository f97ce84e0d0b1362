"""A session that people follow live online: what to do when a link drops, and how somebody who comes late comes in.

All of it is common practice of leading over a link, no source; who asks a professional first is Riebe 2015 (CN40).
"""

from collections.abc import Iterable, Iterator
from itertools import groupby

from everyrung.runsheet.terms import HelpEntry, LateEntry, LiveEntry
from everyrung.terms.enums import BlockKind, KitItem, SpanKind
from everyrung.terms.session import Session
from everyrung.terms.timeline import Span, Timeline

BEFORE = (
    HelpEntry("Beforehand", "For each person at home: a phone number, and where they are today; not kept afterwards."),
    HelpEntry("Throughout", "Say what you see on the screen to everyone, by move. Correct nobody by name."),
)
DROPPED = (
    HelpEntry("One of them drops out", "Carry on. A helper writes: “Rejoin by the same link, come in at the next "
              "set.”"),
    HelpEntry("You drop out", "They finish the rep and walk on the spot: their card says so. Those in the room "
              "carry on. Rejoin; if you can't, write: “Link lost. Walk on the spot, back in two minutes.”"),
    HelpEntry("You are back", "Say: “I'm back. Thumbs up if you can hear me.” Say where we are. "
              "Don't make up what was missed."),
    HelpEntry("Not back after five minutes", "Write: “We've lost the link for today. Walk slowly for two minutes, then "
              "the cool-down on your card. Send me a word to say you're all right.” Ring anyone who doesn't."),
    HelpEntry("Something was wrong before it dropped", "Ring at once. No answer: the local emergency number, with "
              "where they are."),
)  # fmt: skip
FIRST_MINUTE = (
    "Microphone off, camera on: all of you in the picture, on the floor too.",
    "Two steps of free floor all round you; shoes on or bare feet, no socks.",
    "Walk on the spot until the next set, arms too. Then join in.",
    "Take the easier version in your first round: you missed the warm-up. Don't try to catch up.",
)
ASK_FIRST = (
    "Chest pain, faintness, breathless at rest: not today. See a doctor first.",
    "Heart, circulation, kidneys or diabetes and not active; pregnant, ill or under treatment: ask a professional "
    "before you join.",
    "First time, or something to avoid: send the leader one private line. What to avoid, not why.",
)
PICTURE_STOPPED = (
    "Finish the rep. Put down what you hold, stand or sit.",
    "You can still hear: carry on by ear, with the easier version.",
    "Nothing at all: walk on the spot, and open the link again. Come in at the next set.",
    "Not back after five minutes: walk slowly for two minutes, do the cool-down below, and send a word to say "
    "you're all right.",
)
COME_IN = {
    BlockKind.WARM_UP: "Come in at once, at your own pace.",
    BlockKind.COOL_DOWN: "Come in: this part is for everyone. Don't try to catch up.",
    BlockKind.ANNOUNCEMENT: "Listen.",
}
COME_IN_MAIN = "Walk for a minute, then take the easier version from the next set."
COME_IN_LAST = "Walk on the spot with us. Come in with the cool-down, or next time."
MOST_STRETCHES = 4  # of a cool-down done alone; chosen, because a card has one page


def live_entry(session: Session, timeline: Timeline) -> LiveEntry | None:
    """What a live session needs beside the run sheet; None where nobody takes part live."""
    if not session.who.live:
        return None
    return LiveEntry(
        people=session.who.at_home,
        for_leader=(*DROPPED, *BEFORE),
        need=tuple(_need(session)),
        first_minute=FIRST_MINUTE,
        ask_first=ASK_FIRST,
        no_picture=PICTURE_STOPPED,
        alone=tuple(_alone(session)),
        parts=tuple(_parts(session, timeline)),
    )


def _need(session: Session) -> Iterator[str]:
    """What one person needs for all that is led, and that nobody needs it."""
    loads: dict[KitItem, dict[str, None]] = {}
    for cell in session.cells:
        for need in cell.rung.kit:
            load = str(cell.bouts[0].load) if need.item.has_mass or need.item.has_grade else ""
            loads.setdefault(need.item, {}).setdefault(load)
    yield from (f"{item} ({', '.join(loads[item])})".removesuffix(" ()") for item in KitItem if item in loads)
    yield "or take the version without kit, given before each set"


def _alone(session: Session) -> Iterable[str]:
    names = (cell.rung.name for block in session.of_kind(BlockKind.COOL_DOWN) for cell in block.cells)
    return list(dict.fromkeys(names))[:MOST_STRETCHES] or ["walk slowly, shake out arms and legs"]


def _parts(session: Session, timeline: Timeline) -> Iterator[LateEntry]:
    """Block by block and round by round, in order of time."""
    mains = [block for block in session.blocks if block.kind is BlockKind.MAIN]
    for (_, name), group in groupby(timeline.spans, key=lambda span: (id(span.block), _round_name(span))):
        spans = list(group)
        block = spans[0].block
        last = bool(mains) and block is mains[-1] and bool(name) and name == block.rounds[-1].name
        come_in = COME_IN.get(block.kind, COME_IN_LAST if last and len(block.rounds) > 1 else COME_IN_MAIN)
        yield LateEntry(
            at_ms=spans[0].at_ms,
            end_ms=spans[-1].end_ms,
            name=f"{block.name}, {name}" if name and len(block.rounds) > 1 else block.name,
            come_in=come_in,
            sets=tuple(_set_starts(spans)),
        )


def _round_name(span: Span) -> str:
    """What is said before the first round belongs to it."""
    rounds = (span.round, *span.block.rounds) if span.round else span.block.rounds
    return rounds[0].name if rounds else ""


def _set_starts(spans: list[Span]) -> Iterator[tuple[int, str]]:
    """When each set's own time begins, the rest before it left out, and the move's name."""
    before: set[int] = set()
    for span in spans:
        cell = span.cell
        if cell is None or span.kind in (SpanKind.REST, SpanKind.ROUND_REST, SpanKind.WAIT) or id(cell) in before:
            continue
        before.add(id(cell))
        yield span.at_ms, cell.move.name
