"""Placing against a second way: every possible placing of a few cues, tried one after another."""

from itertools import pairwise, product

from hypothesis import given, settings
from hypothesis import strategies as st

from everyrung.cues.candidates import BREATH_MS, CueCandidate
from everyrung.cues.schedule import STEP_MS, TENTHS_A_POINT, schedule_cues
from everyrung.terms.enums import CueKind

CUES = st.lists(
    st.tuples(st.integers(0, 12), st.integers(1, 5), st.integers(0, 8), st.integers(1, 9)), min_size=1, max_size=3
)


def wanted(cues: list[tuple[int, int, int, int]]) -> list[CueCandidate]:
    return [
        CueCandidate(
            kind=CueKind.SET_UP, text="word", ref=None, length_ms=length * 100, from_ms=begin * 100,
            until_ms=(begin + length + room) * 100, best_ms=begin * 100, worth=worth,
        )
        for begin, length, room, worth in cues
    ]  # fmt: skip


def best(cues: list[CueCandidate]) -> int:
    """The greatest worth of all placings on the grid, one after another."""
    choices = [[None, *range(one.from_ms // STEP_MS, (one.until_ms - one.length_ms) // STEP_MS + 1)] for one in cues]
    found = 0
    for starts in product(*choices):
        spans = sorted(
            (start * STEP_MS, start * STEP_MS + one.length_ms + BREATH_MS)
            for start, one in zip(starts, cues, strict=True)
            if start is not None
        )
        if any(before[1] > after[0] for before, after in pairwise(spans)):
            continue
        worth = sum(
            TENTHS_A_POINT * one.worth - abs(start - one.best_ms // STEP_MS)
            for start, one in zip(starts, cues, strict=True)
            if start is not None
        )
        found = max(found, worth)
    return found


@settings(max_examples=60, deadline=None)
@given(CUES)
def test_no_other_placing_is_worth_more(cues: list[tuple[int, int, int, int]]) -> None:
    asked = wanted(cues)
    found = schedule_cues(asked, {}, 2)
    worth = sum(
        TENTHS_A_POINT * one.candidate.worth - abs(one.at_ms - one.candidate.best_ms) // STEP_MS for one in found.cues
    )
    assert worth == best(asked)
    assert found.gap == 0
    assert len(found.cues) + len(found.left) == len(asked)


def cue(length_ms: int, from_ms: int, until_ms: int, best_ms: int) -> CueCandidate:
    return CueCandidate(
        kind=CueKind.SET_UP, text="word", ref=None, length_ms=length_ms, from_ms=from_ms, until_ms=until_ms,
        best_ms=best_ms, worth=9,
    )  # fmt: skip


def test_a_cue_with_a_long_window_never_meets_one_whose_window_opens_late_in_it() -> None:
    # the short one between them ends early: the long window still reaches to the last one's moment
    asked = [cue(2000, 0, 60_000, 20_000), cue(500, 1000, 2000, 1000), cue(2000, 19_000, 24_000, 20_000)]
    placed = schedule_cues(asked, {}, 2).cues
    assert len(placed) == 3
    assert all(before.end_ms + BREATH_MS <= after.at_ms for before, after in pairwise(placed))


def test_a_cue_may_be_said_long_before_its_best_moment_where_that_is_taken() -> None:
    before, late, last = cue(500, 0, 1500, 0), cue(1000, 1000, 8000, 7000), cue(6000, 2600, 8900, 2600)
    placed = {id(one.candidate): one for one in schedule_cues([before, late, last], {}, 2).cues}
    assert len(placed) == 3
    assert placed[id(late)].end_ms + BREATH_MS <= placed[id(last)].at_ms < 7000


def test_what_does_not_fit_its_window_is_left() -> None:
    late = CueCandidate(
        kind=CueKind.CHANGE, text="Next: a very long name indeed", ref=None, length_ms=900, from_ms=0, until_ms=800,
        best_ms=800, worth=1000,
    )  # fmt: skip
    assert schedule_cues([late], {}, 2).left == (late,)
