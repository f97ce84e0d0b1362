"""What is said before anyone moves: when to stop, and who asks somebody else first."""

import re
from collections.abc import Iterator

from everyrung.checks.cells import and_list
from everyrung.checks.rule import TIMELINE, Rule, rule
from everyrung.terms.enums import BlockKind, Severity
from everyrung.terms.finding import Finding, OfKind
from everyrung.terms.session import Session
from everyrung.terms.timeline import Timeline

STOP_LINE = "Stop at once for pain, a tight chest or dizziness, and tell somebody."
SCREENING_LINE = (
    "New to this, or trouble with heart, kidneys or sugar? Ask your doctor first, and choose the easier version."
)
# Each by what it is, and the words by which it is known to be said.
_STOP_WORDS = {
    "pain": re.compile(r"\b(pain|hurts?|hurting|painful)\b", re.IGNORECASE),
    "a chest that feels tight": re.compile(r"\bchest\b", re.IGNORECASE),
    "dizziness": re.compile(r"\b(dizz\w+|faint\w*|light-headed)\b", re.IGNORECASE),
}
_SCREENING_WORDS = {
    "how active people are now": re.compile(
        r"\b(first time|new to|active|used to|regular\w*|been here)\b", re.IGNORECASE
    ),
    "disease of heart, kidneys or blood sugar": re.compile(
        r"\b(heart|kidneys?|diabetes|doctor|midwife)\b", re.IGNORECASE
    ),
    "that everyone chooses how hard": re.compile(
        r"\b(own pace|choose|version|easier|as hard as|how hard)\b", re.IGNORECASE
    ),
}


@rule(TIMELINE)
def stop_signs_unsaid(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """The announcement says when to stop: pain, a tight chest, dizziness.

    Severity: note
    Limit: 3 signs
    Source: common practice, no source: chest, dizziness and pain are what everyone is told to stop for
    """
    yield from _unsaid(
        session, stop_signs_unsaid, _STOP_WORDS, "3 signs to stop",
        f"Say: '{STOP_LINE}'",
    )  # fmt: skip


@rule(TIMELINE)
def screening_unsaid(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """The announcement asks what decides who sees a doctor first: activity now, known disease, how hard it is to be.

    Severity: note
    Limit: 3 questions
    Source: ACSM guidelines, 10th ed. (Riebe 2015): present activity, known disease or signs, intended intensity
    """
    yield from _unsaid(
        session, screening_unsaid, _SCREENING_WORDS, "3 things to be said",
        f"Say: '{SCREENING_LINE}'",
    )  # fmt: skip


def _unsaid(
    session: Session, one: Rule[Timeline], patterns: dict[str, re.Pattern[str]], limit: str, remedy: str
) -> Iterator[Finding]:
    blocks = session.of_kind(BlockKind.ANNOUNCEMENT)
    text = " ".join(line for block in blocks for line in block.say)
    lacking = [what for what, words in patterns.items() if not words.search(text)]
    if lacking:
        yield Finding(
            rule=one.id,
            severity=Severity.NOTE,
            where=blocks[0].where if blocks else session.place("block"),
            places=(OfKind(kind=BlockKind.ANNOUNCEMENT),),
            measured=f"{len(patterns) - len(lacking)} of {len(patterns)} said: nothing of {and_list(lacking)}",
            limit=limit,
            source=one.source,
            remedy=remedy,
        )
