"""Beeps fall where the timeline says: starts, repetitions, counts, switches and ends, to the ms."""

from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import pytest

from everyrung.pipeline import Options, run
from everyrung.results.analysis import Analysis
from everyrung.runsheet.beeps import COUNT_INS, Beep, BeepKind, beeps, tunes
from everyrung.runsheet.build import run_sheet
from everyrung.runsheet.terms import RunSheet
from everyrung.terms.enums import SpanKind
from everyrung.terms.timeline import Span, phases

BOATHOUSE = Path(__file__).parents[2] / "examples" / "boathouse-30.toml"
MAIN = '[[block]]\nkind = "main"\n'
GO, CHANGE, END, COUNT_IN, THIRD, FOURTH, LAST, REP = BeepKind


@pytest.fixture(scope="module")
def boathouse() -> Analysis:
    return run(BOATHOUSE)


@pytest.fixture(params=["boathouse", "evening"])
def session(request: pytest.FixtureRequest) -> Analysis:
    found: Analysis = request.getfixturevalue(request.param)
    return found


def bouts(run: Analysis) -> list[Span]:
    return [span for span in run.timeline.spans if span.kind is SpanKind.WORK]


def of(found: tuple[Beep, ...], kind: BeepKind, low_ms: int = 0, high_ms: int = 10**9) -> list[int]:
    return [beep.at_ms for beep in found if beep.kind is kind and low_ms <= beep.at_ms < high_ms]


def counts(found: tuple[Beep, ...], low_ms: int = 0, high_ms: int = 10**9) -> list[int]:
    return [beep.at_ms for beep in found if beep.kind in COUNT_INS and low_ms <= beep.at_ms < high_ms]


def test_beeps_are_in_order_and_no_two_at_once(session: Analysis) -> None:
    found = beeps(session.timeline)
    assert all(before.at_ms < after.at_ms for before, after in pairwise(found))
    assert found[-1].at_ms <= session.timeline.total_ms


def test_every_bout_starts_with_go_and_ends_with_end_or_change(session: Analysis) -> None:
    found = beeps(session.timeline)
    assert of(found, GO) == [span.at_ms for span in bouts(session)]
    assert of(found, CHANGE) == [span.at_ms for span in session.timeline.spans if span.kind is SpanKind.SWITCH]
    assert sorted(of(found, END) + of(found, CHANGE)) == [span.end_ms for span in bouts(session)]


def test_a_counted_bout_has_a_beep_for_each_repetition(session: Analysis) -> None:
    """The repetitions of the plan's bouts; the first of them is beeped as GO."""
    found = beeps(session.timeline)
    counted = [span for span in bouts(session) if span.cell and span.cell.dose.reps]
    assert counted
    for span in counted:
        sounded = [*of(found, GO, span.at_ms, span.end_ms), *of(found, REP, span.at_ms, span.end_ms)]
        assert span.bout is not None
        assert len(sounded) == span.bout.reps
        assert not of(found, LAST, span.at_ms, span.end_ms)


def test_a_beep_falls_on_the_start_of_every_repetition(session: Analysis) -> None:
    """Starts as everyrung.terms.timeline lays out the phases, which the beeps don't use."""
    sounded = {beep.at_ms for beep in beeps(session.timeline)}
    firsts = {(span.at_ms, phase.rep): phase.at_ms for span in bouts(session) for phase in reversed([*phases(span)])}
    assert set(firsts.values()) <= sounded


def test_the_countdown_beeped_is_the_countdown_planned(session: Analysis) -> None:
    """The session's clock plans it before every first repetition that follows 'into position, count in'."""
    planned_ms = session.session.clock.count_in_ms
    found = beeps(session.timeline, count_in_ms=planned_ms)
    spans = session.timeline.spans
    settled = [after.at_ms for before, after in pairwise(spans) if before.kind is SpanKind.SETTLE]
    assert settled
    for at_ms in settled:
        assert counts(found, at_ms - 10_000, at_ms) == [*range(at_ms - planned_ms, at_ms, 1_000)]


def test_another_clock_counts_as_it_plans(plan: Callable[[str], Analysis]) -> None:
    made = plan('[clock]\ncount_in = "5 s"\n' + MAIN + '[[block.move]]\nmove = "squat"\ndose = "8 reps"\n')
    found = beeps(made.timeline, count_in_ms=made.session.clock.count_in_ms)
    start_ms = bouts(made)[0].at_ms
    assert counts(found) == [start_ms - seconds * 1_000 for seconds in (5, 4, 3, 2, 1)]


def test_a_short_switch_counts_only_what_fits(plan: Callable[[str], Analysis]) -> None:
    made = plan('[clock]\nside_switch = "2 s"\n' + MAIN + '[[block.move]]\nmove = "split-squat"\ndose = "6 a side"\n')
    switch = next(span for span in made.timeline.spans if span.kind is SpanKind.SWITCH)
    found = beeps(made.timeline)
    assert of(found, CHANGE) == [switch.at_ms]
    assert counts(found, switch.at_ms) == [switch.at_ms + 1_000]  # 2 s before is the change itself


def test_holds_tick_every_ten_seconds_and_end_in_three(boathouse: Analysis) -> None:
    found = beeps(boathouse.timeline)
    holds = [span for span in bouts(boathouse) if span.bout and span.bout.reps == 0]
    assert holds
    for span in holds:
        assert of(found, REP, span.at_ms, span.end_ms) == [*range(span.at_ms + 10_000, span.end_ms, 10_000)]
        assert of(found, LAST, span.at_ms, span.end_ms) == [span.end_ms - n * 1_000 for n in (3, 2, 1)]


def test_a_bout_led_by_time_counts_down_its_last_three_seconds(boathouse: Analysis) -> None:
    """The march of the warm-up, 0:40 at 2 s each: a LAST stands where a REP would fall on the same ms."""
    march = bouts(boathouse)[0]
    found = beeps(boathouse.timeline)
    assert of(found, LAST, march.at_ms, march.end_ms) == [march.end_ms - n * 1_000 for n in (3, 2, 1)]
    assert len(of(found, REP, march.at_ms, march.end_ms)) == 20 - 2  # GO at the first, LAST at the last


def test_a_bout_of_two_seconds_has_no_count_inside_its_start(plan: Callable[[str], Analysis]) -> None:
    made = plan(MAIN + '[[block.move]]\nmove = "chest-opener"\ndose = "0:02"\n')
    span = bouts(made)[0]
    assert of(beeps(made.timeline), LAST) == [span.end_ms - 1_000]


def test_the_same_ms_is_beeped_by_precedence() -> None:
    assert [*BeepKind] == [GO, CHANGE, END, COUNT_IN, THIRD, FOURTH, LAST, REP]


@pytest.mark.parametrize("name", [path.stem for path in sorted(BOATHOUSE.parent.glob("*.toml"))])
def test_sets_that_could_be_taken_for_one_another_have_other_tunes(name: str) -> None:
    """Two of three counts differ between sets in a row, and between sets of one dose while 9 tunes are enough: so many
    words of three signs out of three differ at two places (the Singleton bound, 3^2).
    """
    timeline = run(BOATHOUSE.parent / f"{name}.toml").timeline
    by, work = tunes(timeline), [span for span in timeline.spans if span.kind is SpanKind.WORK]
    assert len(by) == len(work)
    rows = list(zip(work, by.values(), strict=True))
    for (one, tune), (two, other) in pairwise(rows):
        assert sum(a is not b for a, b in zip(tune, other, strict=True)) >= 2, (one.cell, two.cell)
    doses: dict[tuple[int, int], list[tuple[BeepKind, ...]]] = {}
    for span, tune in rows:
        assert span.bout
        doses.setdefault((span.bout.reps, span.duration_ms), []).append(tune)
    for alike in doses.values():
        assert len(set(alike[:27])) == len(alike[:27])


def test_a_set_keeps_its_tune_when_others_are_cut() -> None:
    whole = run(BOATHOUSE, options=Options(branches=True))
    assert whole.branches
    sheet = run_sheet(whole)
    (go, tune), *_ = _tunes_of(sheet, 0)[::-1]
    for number in range(1, len(sheet.variants)):
        cut = _tunes_of(sheet, number)
        assert cut[-1][1] == tune
    assert go


def _tunes_of(sheet: RunSheet, number: int) -> list[tuple[int, tuple[BeepKind, ...]]]:
    """Of each set of one way, when it starts and its last three counts."""
    marks = sheet.variants[number].beeps
    return [
        (at_ms, tuple(kind for mark_ms, kind in marks if at_ms - 3_500 < mark_ms < at_ms and kind in COUNT_INS))
        for at_ms, kind in marks
        if kind is GO
    ]
