"""Entry tests ask what was just done or can be tried in two seconds (common practice in leading groups, no source)."""

import re

import pytest

from everyrung.moves.entry_tests import before_any_set
from everyrung.moves.library import standard_library
from everyrung.terms.enums import MoveKind, Pattern
from everyrung.terms.move import MAX_ENTRY_TEST_WORDS, Move, Rung

MOVES = [standard_library().move(key) for key in standard_library().keys]
RUNGS = [rung for move in MOVES for rung in move.versions]
# A count that no plan of 6 to 8 repetitions holds, or a trial of more than two seconds.
COUNT = re.compile(
    r"\d|\b(five|six|seven|eight|nine|ten|twelve|fifteen|twenty|thirty|forty|minute|minutes)\b|(?<!two )\bseconds\b",
    re.IGNORECASE,
)
PAIN = re.compile(r"\b(pain|pain-free|pinch|ache|sore|cramp)\b", re.IGNORECASE)
LOADED_JOINTS = {Pattern.KNEE, Pattern.HIP, Pattern.BRIDGE, Pattern.PUSH, Pattern.PULL, Pattern.OVERHEAD, Pattern.TRUNK}


@pytest.mark.parametrize("rung", RUNGS, ids=lambda rung: rung.address)
def test_none_asks_a_count_that_the_plan_does_not_hold(rung: Rung) -> None:
    assert not COUNT.search(rung.entry_test), rung.entry_test


@pytest.mark.parametrize(
    "move",
    [move for move in MOVES if move.kind is MoveKind.STRENGTH and move.pattern in LOADED_JOINTS],
    ids=lambda move: move.key,
)
def test_the_first_questions_of_knee_shoulder_and_back_moves_ask_about_pain(move: Move) -> None:
    """Of the rungs of the lowest grade, one or more: whoever starts at the bottom meets it."""
    lowest = min(rung.grade for rung in move.versions)
    first = [before_any_set(rung).entry_test for rung in move.versions if rung.grade == lowest]
    assert any(PAIN.search(test) for test in first), first


@pytest.mark.parametrize("rung", RUNGS, ids=lambda rung: rung.address)
def test_before_the_first_set_nothing_is_asked_about_a_set(rung: Rung) -> None:
    asked = before_any_set(rung).entry_test
    assert asked.split()[0] not in ("Was", "Were", "Did", "Felt")
    assert 0 < len(asked.split()) <= MAX_ENTRY_TEST_WORDS
