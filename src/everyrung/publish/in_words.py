"""A whole session in words, for whoever sees no picture and no leader: read out, or read, before the class."""

from collections.abc import Iterator

from everyrung.checks.cells import and_list
from everyrung.cues.version_words import versions
from everyrung.publish.sheet.content import STOP_SIGNS
from everyrung.runsheet.words import dose_words, sides_words
from everyrung.terms.enums import BlockKind, CueKind, Sidedness
from everyrung.terms.session import Block, Cell, Round, Session
from everyrung.terms.timeline import Timeline
from everyrung.terms.units import clock_text
from everyrung.timing.transitions import held_kit
from everyrung.timing.turns import side_by_side

MOST = {CueKind.SET_UP: 4, CueKind.FORM: 2, CueKind.BREATHING: 1, CueKind.SAFETY: 2}  # sentences of each; chosen


def in_words(session: Session, timeline: Timeline) -> str:
    """The text: what is needed, when to stop, then block by block what is done, each move in full the first time."""
    lines = [
        f"{session.title}: the whole session in words",
        "",
        f"{clock_text(timeline.total_ms)} in all. What is done is said here and in the class; no picture is needed.",
        f"You need {_kit(session)}.",
        *STOP_SIGNS[:2],
    ]
    earlier: set[str] = set()
    for block in session.blocks:
        lines += ["", *_block(session, timeline, block, earlier)]
    return "\n".join(lines) + "\n"


def _kit(session: Session) -> str:
    labels = dict.fromkeys(each.item.value for cell in session.cells for each in held_kit(cell, cell.bouts[0]))
    return and_list(labels) if labels else "no kit"


def _block(session: Session, timeline: Timeline, block: Block, earlier: set[str]) -> Iterator[str]:
    spans = [span for span in timeline.spans if span.block.name == block.name]
    if spans:
        yield f"{block.name.upper()}, from {clock_text(spans[0].at_ms)} to {clock_text(spans[-1].end_ms)}"
    if block.kind is BlockKind.ANNOUNCEMENT:
        yield "What is said before anybody moves:"
    yield from block.say
    for each in block.rounds:
        if len(block.rounds) > 1:
            yield f"Round {each.name}:" if not each.name.lower().startswith("round") else f"{each.name}:"
        yield from _waves(each)
        for cell in each.cells:
            yield from _cell(session, cell, earlier)


def _waves(each: Round) -> Iterator[str]:
    """Who does what side by side: nobody has to look round the room for it."""
    for group in side_by_side(each):
        if len(group) > 1:
            names = and_list(cell.rung.name if cell else "rest" for cell in group)
            yield f"In {len(group)} waves, side by side, then in turn: {names}. The leader says who is in which wave."


def _cell(session: Session, cell: Cell, earlier: set[str]) -> Iterator[str]:
    """One set: name and dose; how it is done, and the other versions, where this one comes for the first time."""
    sides = f", {sides_words(cell)}" if cell.rung.form.sides is not Sidedness.BOTH else ""
    kit = [each.label for each in held_kit(cell, cell.bouts[0])]
    yield f"- {cell.rung.name}: {dose_words(cell)}{sides}{f', with {and_list(kit)}' if kit else ''}."
    if cell.rung.address not in earlier:
        for kind, most in MOST.items():
            texts = [cue.text for cue in cell.rung.cues if cue.kind is kind][:most]
            if texts:
                yield f"  {' '.join(texts)}"
    others = [each.text for each in versions(cell, session.who.limits, after_first_set=False)]
    yield from (f"  {text}" for text in others if f"{cell.rung.address} {text}" not in earlier)
    earlier |= {cell.rung.address, *(f"{cell.rung.address} {text}" for text in others)}
