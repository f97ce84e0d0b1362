"""People who read lips: what they do not get where the leader's face is down or turned away."""

from collections import Counter
from collections.abc import Iterator, Sequence

from everyrung.checks.cells import and_list, count_words, every_cell, move_words, refs
from everyrung.checks.rule import CUES, rule
from everyrung.terms.enums import CueKind, Severity, View
from everyrung.terms.finding import Finding, name_list
from everyrung.terms.plan import Ref
from everyrung.terms.session import Session
from everyrung.terms.timeline import CueTrack, Track

_UP = "In these sets stand side-on with the head up, or sit facing the room while somebody shows them"
_OUT = "say what is missing before the session, or hand out the sheet or in-words.txt."


@rule(CUES)
def lips_hidden(session: Session, cues: Sequence[CueTrack]) -> Iterator[Finding]:
    """Where somebody reads lips, they are seen in the work of each set; and what cannot be said there has time before.

    Counted are the sets in whose work nothing is said, because the face is down or turned; and of what is said before
    them the first time the versions without a place, and the safety words without one in any round.
    Severity: note
    Limit: 0 sets in which lips are hidden
    Source: common practice, no source: nobody reads a face that is down or turned away
    """
    track = next((each for each in cues if each.track is Track.FIRST and each.silent), None)
    if track is None:
        return
    silent = [cell for cell in every_cell(session) if cell.ref in track.silent]
    names = {cell.ref: move_words(cell) for cell in silent}
    sets = f"in {count_words(len(silent), 'set')} nothing is said or counted in the work ({name_list(names.values())})"
    to_room = "Lead facing the room" if session.view is View.BACK_TURNED else _UP
    yield Finding(
        rule=lips_hidden.id,
        severity=Severity.NOTE,
        where=silent[0].where,
        places=refs(silent),
        measured=f"{sets}; {_gap_words(track, names)}",
        limit="0 sets in which lips are hidden",
        source=lips_hidden.source,
        remedy=f"{to_room}; else {_OUT}",
    )


def _gap_words(track: CueTrack, names: dict[Ref, str]) -> str:
    """How many versions and safety words are not said before such sets either, and of which moves."""
    safety_words = {cue.text for cue in track.said if cue.kind is CueKind.SAFETY}
    versions, cautions, moves = 0, 0, Counter[str]()
    for each in track.unsaid:
        if each.ref not in names:
            continue
        version = each.kind is CueKind.VERSION and not each.text.endswith("?")  # a question comes after its name
        caution = each.kind is CueKind.SAFETY and each.text not in safety_words
        versions, cautions = versions + version, cautions + caution
        moves[names[each.ref]] += version or caution
    if not +moves:
        return "all versions and safety words are said before"
    counts = [
        count_words(number, thing) for number, thing in ((versions, "version"), (cautions, "safety word")) if number
    ]
    have = "has" if versions + cautions == 1 else "have"
    return f"{and_list(counts)} {have} no time before ({name_list(+moves)})"
