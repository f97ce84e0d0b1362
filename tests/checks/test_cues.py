"""Words that mislead people who cannot be seen, and cues without a place; each silent where nothing is wrong."""

import re
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from everyrung.checks.rules.cues import (
    count_differs,
    countdown_rises,
    cue_unsaid,
    side_not_theirs,
    words_shown,
    words_urging,
)
from everyrung.moves.library import standard_library
from everyrung.terms.enums import Caution, CueKind, Severity
from everyrung.terms.finding import Finding
from everyrung.terms.session import Session
from everyrung.terms.timeline import CueTrack, Track, UnsaidCue
from everyrung.timing.timeline import build_timeline


def said(session: Callable[..., Session], words: str) -> Session:
    plan = session()
    first = replace(plan.blocks[0], say=(words,))
    return replace(plan, blocks=(first, *plan.blocks[1:]))


def findings(rule: Any, plan: Session) -> list[Finding]:
    return list(rule(plan, build_timeline(plan)))


@pytest.mark.parametrize(
    ("rule", "wrong", "right"),
    [
        (words_shown, "Do it like this, elbows in.", "Elbows to the ribs; anyone unlike this leader is welcome."),
        (words_urging, "Faster, come on!", "Quick up, slow down, at your own pace; breakfast after."),
        (side_not_theirs, "Follow my left hand.", "Your left hand, the one nearer the lake."),
        (countdown_rises, "Five, four, three, two, one, nine, eight.", "Five, four, three, two, one, and rest."),
        (countdown_rises, "5 4 3 2 1 and 6 more", "Three rounds of five moves, eight each, one more in two."),
    ],
    ids=lambda each: getattr(each, "id", ""),
)
def test_words_that_mislead_are_flagged_and_others_are_not(
    rule: Any, wrong: str, right: str, session: Callable[..., Session]
) -> None:
    (found,) = findings(rule, said(session, wrong))
    assert found.rule == rule.id
    assert not findings(rule, said(session, right))


def test_who_could_fall_is_never_urged(session: Callable[..., Session]) -> None:
    """H18 of the real-life cases: someone with earlier wrist trouble is hurried backwards and breaks both wrists."""
    plan = said(session, "Faster, faster, go backwards!")
    assert [each.severity for each in findings(words_urging, plan)] == [Severity.WARNING]
    falls = replace(plan, who=replace(plan.who, limits=(Caution.FALL_RISK,)))
    assert [each.severity for each in findings(words_urging, falls)] == [Severity.ERROR]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("Last five!", "Last five"), ("Ten more.", "Ten more"), ("3 to go", "3 to go"), ("Nine reps.", "Nine reps"),
        ("Two feet, one line.", ""), ("At last, five fingers.", ""),
    ],
)  # fmt: skip
def test_a_count_of_her_own_is_told_unless_it_is_the_plan_s(
    text: str, told: str, session: Callable[..., Session]
) -> None:
    """H03 of the real-life cases: who is told "last five" and then hears more feels cheated."""
    plan = session(('as = "hinge"', f'as = "hinge"\n  cues = ["{text}"]'))
    found = findings(count_differs, plan)
    assert [f"{told!r} in" in each.measured for each in found] == ([True] if told else [])
    assert all({place.cell for place in each.places} == {"hinge"} for each in found)


def test_the_plan_s_own_number_may_be_said_where_it_is_the_plan_s(session: Callable[..., Session]) -> None:
    plan = session(('as = "hinge"', 'as = "hinge"\n  cues = ["Ten repetitions, all yours."]'))
    planned = {cell.ref: cell.bouts[0].reps for cell in plan.cells if cell.ref.cell == "hinge"}
    assert len(set(planned.values())) > 1
    (found,) = findings(count_differs, plan)
    assert set(found.places) == {ref for ref, reps in planned.items() if reps != 10}


def test_a_safety_cue_without_a_place_is_told_with_its_reason(session: Callable[..., Session]) -> None:
    plan = session()
    ref = next(cell.ref for cell in plan.cells)
    lost = UnsaidCue(kind=CueKind.SAFETY, text="Knees over toes.", ref=ref, reason="It takes 3 s, and there are 2 s.")
    point = UnsaidCue(kind=CueKind.FORM, text="Tall.", ref=ref, reason="One point is enough.")
    (found,) = cue_unsaid(plan, [CueTrack(track=Track.FIRST, said=(), unsaid=(lost, point))])
    assert "It takes 3 s" in found.measured
    assert not list(cue_unsaid(plan, [CueTrack(track=Track.FIRST, said=(), unsaid=(point,))]))
    assert not list(cue_unsaid(plan, [CueTrack(track=Track.AGAIN, said=(), unsaid=(lost,))]))


def test_no_cue_of_the_library_breaks_the_rules_on_words() -> None:
    """Else whoever leads that move would be warned of words that are not hers."""
    library = standard_library()
    words = re.compile(r"\b(like (this|that|so)|watch me|faster|hurry|quicker|quickly|come on|my (left|right))\b", re.I)
    for key in library.keys:
        for rung in library.move(key).ladder:
            assert not [cue.text for cue in rung.cues if words.search(cue.text)], f"{key}/{rung.key}"
