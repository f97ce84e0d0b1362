"""What the leader says: her own words where they can mislead, and library cues that found no room."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import pairwise

from everyrung.checks.cells import count_words, every_block, every_cell, refs
from everyrung.checks.rule import CUES, TIMELINE, rule
from everyrung.cues.speech import number_words
from everyrung.terms.enums import Caution, CueKind, Severity
from everyrung.terms.finding import Finding, location_words, name_list
from everyrung.terms.plan import Ref
from everyrung.terms.session import Block, Cell, Session
from everyrung.terms.timeline import CueTrack, Timeline, Track

_SHOWN = re.compile(r"\b(?:like (?:this|that|so)|this way|over here|watch me|as i do)\b", re.IGNORECASE)
_HURRIED = "faster|hurry|quick(?:er|ly)|speed up|push through|no pain|don't stop|come on"
_URGING = re.compile(rf"\b(?:{_HURRIED})\b", re.IGNORECASE)
_HER_OWN = re.compile(r"\bmy (?:own )?(?:left|right)\b", re.IGNORECASE)
_NUMBERS = {number_words(number): number for number in range(13)}
_COUNT = re.compile(rf"\b(?:{'|'.join(_NUMBERS)}|[0-9]{{1,2}})\b", re.IGNORECASE)
_ANY = rf"(?:{'|'.join(sorted(_NUMBERS, key=len, reverse=True))}|[0-9]{{1,2}})"
_OWN_COUNT = re.compile(
    rf"\b(?:(?:last|final) {_ANY}|{_ANY} (?:more|left|to go)|(?P<reps>{_ANY}) rep(?:etition)?s?)\b", re.IGNORECASE
)
TEXTS_KEPT = 4096  # chosen, because the library has half as many, and a coach's own come and go
LEAST_COUNTED = 3  # numbers going down that make a countdown; chosen, because "two or one" is none
_TRADE = "common practice, no source: people who cannot be seen follow the words"
# What has to be heard.
_KEPT = (CueKind.SAFETY, CueKind.CHANGE, CueKind.COUNT, CueKind.KIT, CueKind.PLACE, CueKind.SIDE)


@rule(TIMELINE)
def words_shown(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """What is said can be followed without seeing: no "like this".

    Severity: warning
    Limit: 0 words that only point
    Source: common practice, no source: people who cannot be seen follow the words
    """
    yield from _wrong_words(session, _SHOWN, "words-shown", "0 words that only point", _TRADE,
                     "Say what moves where: 'elbows to the ribs', not 'like this'.")  # fmt: skip


@rule(TIMELINE)
def words_urging(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """Nobody is urged to hurry or to carry on through pain; least of all where a fall has to be avoided.

    Severity: error where somebody comes who could fall, else warning
    Limit: 0 words that urge
    Source: common practice, no source: people fall and strain when they are urged beyond their own pace
    """
    urges = _wrong_words(session, _URGING, "words-urging", "0 words that urge",
                     "common practice, no source: people fall and strain when they are urged beyond their own pace",
                     "Ask for quality: 'steady', 'your own pace', 'stop when the movement changes'.")  # fmt: skip
    falls = Caution.FALL_RISK in session.who.limits
    yield from (replace(each, severity=Severity.ERROR) if falls else each for each in urges)


@rule(TIMELINE)
def side_not_theirs(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """Left and right are the participants': never "my left".

    Severity: warning
    Limit: 0 sides of the leader's own
    Source: common practice, no source: who faces a leader or a screen mirrors her
    """
    yield from _wrong_words(session, _HER_OWN, "side-not-theirs", "0 sides of the leader's own",
                     "common practice, no source: who faces a leader or a screen mirrors her",
                     "Say 'left' and mean theirs; the run sheet says which limb you move.")  # fmt: skip


@rule(TIMELINE)
def countdown_rises(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """A countdown that is announced ends where it says: after one no number rises again.

    Severity: warning
    Limit: 0 numbers that rise again
    Source: common practice, no source: people spend what they have by the announced end
    """
    for block in every_block(session):
        for text in block.say:
            numbers = [_number(word) for word in _COUNT.findall(text)]
            if _rises_again(numbers):
                value = f"{_short(text)!r}: counted {', '.join(map(str, numbers))}"
                source = "common practice, no source: people spend what they have by the announced end"
                remedy = "Announce the real end, and make a bonus a block of its own."
                yield _finding(block, "countdown-rises", text, value, "0 numbers that rise again", source, remedy)


@rule(TIMELINE)
def count_differs(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """Words said in a set name no repetitions but the plan's, and leave it to the plan to count the last ones.

    Severity: warning
    Limit: 0 counts other than the plan's
    Source: common practice, no source: people spend what they have by the announced end
    """
    wrong: dict[tuple[str, str], list[Cell]] = {}
    for cell in every_cell(session):
        for text in dict.fromkeys(cue.text for cue in cell.rung.cues):
            if other := _other_count(text, {bout.reps for bout in cell.bouts}):
                wrong.setdefault((text, other), []).append(cell)
    for (text, other), cells in wrong.items():
        yield Finding(
            rule="count-differs", what=text, severity=Severity.WARNING, where=cells[0].where, places=refs(cells),
            measured=f"{other!r} in {_short(text)!r}, said in {count_words(len(cells), 'set')} whenever there is room",
            limit="0 counts other than the plan's",
            source="common practice, no source: people spend what they have by the announced end",
            remedy="Leave the number out: the plan says how many, counts in, and counts down the last three.",
        )  # fmt: skip


def _other_count(text: str, plan_reps: set[int]) -> str:
    """The words that count otherwise than the plan; nothing when there are none."""
    return next((words for words, reps in _counts(text) if reps not in plan_reps), "")


@lru_cache(TEXTS_KEPT)  # the same few texts are said in every round
def _counts(text: str) -> tuple[tuple[str, int | None], ...]:
    """Words that count, with the repetitions that they name; None where they count down."""
    matches = _OWN_COUNT.finditer(text)
    return tuple((each[0], _number(each["reps"]) if each["reps"] else None) for each in matches)


@rule(CUES)
def cue_unsaid(session: Session, cues: Sequence[CueTrack]) -> Iterator[Finding]:
    """What keeps people safe and together is said the first time: safety, changes, kit, place, side and
    counts find their place.

    Severity: warning
    Limit: 0 of them without a place
    Source: common practice, no source: people who cannot be seen follow the words
    """
    for track in cues:
        if track.track is not Track.FIRST:
            continue
        cautions = {cue.text for cue in track.said if cue.kind is CueKind.SAFETY}  # known from another round
        for one in (each for each in track.unsaid if each.kind in _KEPT and each.ref and each.text not in cautions):
            block = next(each for each in every_block(session) if one.ref and each.name == one.ref.block)
            value = f"{one.kind}: {_short(one.text)!r} has no place. {one.reason}".rstrip(".")
            place = location_words((one.ref,)) if one.ref else block.name
            remedy = f"Give {place} more rest before it, or a shorter name."
            yield _finding(block, "cue-unsaid", one.text, value, "0 of them without a place", _TRADE, remedy)


def _wrong_words(
    session: Session, wrong: re.Pattern[str], rule: str, limit: str, source: str, remedy: str
) -> Iterator[Finding]:
    for block in every_block(session):
        own = (cue.text for cell in block.cells for cue in cell.rung.cues)
        for text in dict.fromkeys((*block.say, *own)):
            matches = [match[0].casefold() for match in wrong.finditer(text)]
            if matches:
                value = f"{len(matches)} in {_short(text)!r}: {name_list(map(repr, matches))}"
                yield _finding(block, rule, text, value, limit, source, remedy)


def _finding(block: Block, rule: str, what: str, value: str, limit: str, source: str, remedy: str) -> Finding:
    return Finding(
        rule=rule, what=what, severity=Severity.WARNING, where=block.where, places=(Ref(block=block.name),),
        measured=value, limit=limit, source=source, remedy=remedy,
    )  # fmt: skip


def _number(word: str) -> int:
    return int(word) if word.isdecimal() else _NUMBERS[word.casefold()]


def _rises_again(numbers: Sequence[int]) -> bool:
    """A run of at least three that go down by one to one, and then a greater number."""
    down = 1
    for before, after in pairwise(numbers):
        if before == 1 and down >= LEAST_COUNTED and after > 1:
            return True
        down = down + 1 if after == before - 1 else 1
    return False


def _short(text: str) -> str:
    return text if len(text) <= 60 else text[:59] + "…"
