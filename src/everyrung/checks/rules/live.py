"""People who take part live online: that the leader sees them now and then, and nobody has to look up when the head is
down.
"""

import re
from collections.abc import Iterator, Sequence

from everyrung.checks.cells import count_words, every_block, refs
from everyrung.checks.rule import CUES, TIMELINE, rule
from everyrung.moves.gaze import faces_away
from everyrung.terms.enums import BlockKind, CueKind, Severity
from everyrung.terms.finding import Finding
from everyrung.terms.plan import Ref
from everyrung.terms.session import Block, Cell, Round, Session
from everyrung.terms.timeline import CueTrack, Timeline, Track

_LOOKING = re.compile(
    r"\b(?:look (?:up )?(?:at|to)|watch|eyes on) (?:me|us|the (?:screen|camera|picture|leader))\b", re.IGNORECASE
)
_SEEN = "common practice, no source: who leads over a link neither sees nor hears people unless there is time for it"
_NECK = "common practice, no source: a neck that turns to a screen under load strains"


@rule(CUES)
def live_thumbs(session: Session, cues: Sequence[CueTrack]) -> Iterator[Finding]:
    """Where people join live online, each round of a main block ends with a thumb check.

    Severity: warning
    Limit: 1 thumb check a round
    Source: common practice, no source: who leads over a link neither sees nor hears people unless there is time for it
    """
    for block, each in _rounds_without(session, cues, CueKind.THUMBS):
        yield _finding(
            "live-thumbs", Severity.WARNING, block, each, "no time for a thumb check after it", "1 thumb check a round",
            "Give this round 10 s more rest after it, or begin the next with a set that leaves a hand free.",
        )  # fmt: skip


@rule(CUES)
def live_look(session: Session, cues: Sequence[CueTrack]) -> Iterator[Finding]:
    """Where people join live online, the leader looks at the screen in each round of a main block.

    Severity: note
    Limit: 1 look at the screen a round
    Source: common practice, no source: who leads over a link neither sees nor hears people unless there is time for it
    """
    for block, each in _rounds_without(session, cues, CueKind.LOOK):
        yield _finding(
            "live-look", Severity.NOTE, block, each, "no set in which the leader has time to look at the screen",
            "1 look at the screen a round",
            "Let somebody else show one of its sets, or lead one more set with the head up.",
        )  # fmt: skip


@rule(TIMELINE)
def look_head_down(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """Nobody is asked to look at the leader or a screen while lying, on hands, or with the head low.

    Severity: warning
    Limit: 0 words that ask to look
    Source: common practice, no source: a neck that turns to a screen under load strains
    """
    for block in every_block(session):
        texts: dict[str, list[Cell]] = {}
        for cell in block.cells:
            for text in dict.fromkeys(cue.text for cue in cell.rung.cues if faces_away(cell.rung)):
                if _LOOKING.search(text):
                    texts.setdefault(text, []).append(cell)
        for text, cells in texts.items():
            yield Finding(
                rule="look-head-down", what=text, severity=Severity.WARNING, where=cells[0].where, places=refs(cells),
                measured=f"{text!r}, said in {count_words(len(cells), 'set')}, {cells[0].rung.form.position}",
                limit="0 words that ask to look", source=_NECK,
                remedy="Say it before the set, while everyone is up, or say in words what there is to see.",
            )  # fmt: skip


def _rounds_without(session: Session, cues: Sequence[CueTrack], kind: CueKind) -> Iterator[tuple[Block, Round]]:
    """Rounds of main blocks without such a cue for those who come for the first time; none where nobody is live."""
    track = next((each for each in cues if each.track is Track.FIRST), None)
    if track is None or not session.who.live:
        return
    there = {(cue.ref.block, cue.ref.round) for cue in track.said if cue.ref and cue.kind is kind}
    for block in session.of_kind(BlockKind.MAIN):
        for each in block.rounds:
            if each.cells and (block.name, each.cells[0].ref.round) not in there:
                yield block, each


def _finding(rule: str, severity: Severity, block: Block, each: Round, value: str, limit: str, remedy: str) -> Finding:
    place = Ref(block=block.name, round=each.cells[0].ref.round)
    return Finding(
        rule=rule, what=each.name, severity=severity, where=each.where, places=(place,),
        measured=value, limit=limit, source=_SEEN, remedy=remedy,
    )  # fmt: skip
