"""Where nothing can be proposed: the smallest wish less that helps; and a wish that no column keeps."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest

from everyrung.moves.library import standard_library
from everyrung.proposals import nearest
from everyrung.proposals.nearest import nearest_brief
from everyrung.proposals.search import propose
from everyrung.terms.enums import Caution, Level, Pattern
from everyrung.terms.session_brief import SessionBrief

BRIEF = SessionBrief(
    minutes=20, floor=False, include=("hollow-hold",), exclude=("squat",), rounds=4, focus=(Pattern.TRUNK,),
    limits=(Caution.OVERHEAD,), level=Level.GENTLE,
)  # fmt: skip


def works_where(monkeypatch: pytest.MonkeyPatch, test: Any) -> list[SessionBrief]:
    """Proposals are found for briefs that pass a test; the briefs that were tried."""
    tried: list[SessionBrief] = []

    def fake(brief: SessionBrief, *_: Any, **__: Any) -> Iterator[str]:
        tried.append(brief)
        return iter(["a session"] if test(brief) else [])

    monkeypatch.setattr(nearest, "propose", fake)
    return tried


@pytest.mark.parametrize(
    ("test", "words"),
    [
        (lambda brief: not brief.rounds, "leave the number of rounds open"),
        (lambda brief: not brief.include, "do without hollow hold"),
        (lambda brief: not brief.exclude, "allow the moves you did not want"),
        (lambda brief: brief.minutes > 24, "25 minutes"),
        (lambda brief: brief.level is Level.HARD, "offer it as hard"),
        (lambda brief: brief.floor, "let people get down to the floor"),
        (lambda brief: not brief.focus, "train the whole body"),
    ],
)
def test_one_wish_less_is_enough(monkeypatch: pytest.MonkeyPatch, test: Any, words: str) -> None:
    tried = works_where(monkeypatch, test)
    result = nearest_brief(BRIEF, standard_library())
    assert result
    assert result[0] == words
    assert test(result[1])
    assert all(brief.limits == BRIEF.limits for brief in tried)


@pytest.mark.parametrize(
    ("test", "words"),
    [
        (
            lambda brief: not brief.rounds and brief.floor,
            "leave the number of rounds open, and let people get down to the floor",
        ),
        (lambda brief: not brief.include and brief.minutes == 30, "do without hollow hold, and 30 minutes"),
        (
            lambda brief: brief.exclude == () and not brief.focus,
            "allow the moves you did not want, and train the whole body",
        ),
    ],
)
def test_where_no_single_wish_helps_two_are_left_out(monkeypatch: pytest.MonkeyPatch, test: Any, words: str) -> None:
    tried = works_where(monkeypatch, test)
    result = nearest_brief(BRIEF, standard_library())
    assert result
    assert result[0] == words
    assert test(result[1])
    assert len(set(tried)) == len(tried)
    assert all(brief.limits == BRIEF.limits for brief in tried)


def test_two_moves_may_be_too_many(monkeypatch: pytest.MonkeyPatch) -> None:
    brief = SessionBrief(minutes=12, include=("squat", "push-up", "hip-hinge"))
    works_where(monkeypatch, lambda other: len(other.include) <= 1)
    result = nearest_brief(brief, standard_library())
    assert result
    assert result[0] == "do without squat, and do without push-up"
    assert result[1] == replace(brief, include=("hip-hinge",))


def test_where_nothing_helps_nothing_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    works_where(monkeypatch, lambda _: False)
    assert nearest_brief(BRIEF, standard_library()) is None


def test_a_wish_that_no_column_keeps_is_not_passed_over() -> None:
    """Nobody on the floor, and a move that is led there alone."""
    wish = SessionBrief(minutes=15, floor=False, include=("hollow-hold",), rounds=2)
    assert next(propose(wish), None) is None
