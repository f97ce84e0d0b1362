"""The lanes hold the whole timeline, each moment once, and nothing else."""

import tomllib
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

import everyrung
from everyrung.results.analysis import Analysis
from everyrung.score.draw import score_rows
from everyrung.score.lanes import _HEIGHTS, LANE_OF, Lane, Score, ladder_place, score_lanes
from everyrung.score.layout import NARROW, WIDE, Paper, break_systems
from everyrung.terms.enums import Position, Side, SpanKind
from everyrung.terms.timeline import phases

LIBRARY = Path(everyrung.__file__).parent / "moves" / "library"
SPLIT = '[[block]]\nkind = "main"\n  [[block.move]]\n  move = "split-squat"\n  dose = "8 a side"\n  sides = "{}"\n'
ROUNDS = '  [[block.round]]\n  name = "One"\n  [[block.round]]\n  name = "Two"\n  like = "One"\n'


@pytest.fixture(scope="module")
def lanes(evening: Analysis) -> Score:
    return score_lanes(evening.session, evening.timeline)


def test_every_kind_of_span_has_a_lane_and_every_position_a_height() -> None:
    assert set(LANE_OF) == set(SpanKind)
    assert set(_HEIGHTS) == set(Position)
    assert all(_HEIGHTS[each] < 0.8 for each in Position if each.on_floor)


def test_every_span_is_one_stretch_in_its_lane(evening: Analysis, lanes: Score) -> None:
    assert [stretch.span for stretch in lanes.stretches] == list(evening.timeline.spans)
    assert {stretch.lane for stretch in lanes.stretches} == set(Lane)
    assert len(lanes.stretches) > 90


@pytest.mark.parametrize("lane", Lane)
def test_stretches_of_a_lane_do_not_overlap(lanes: Score, lane: Lane) -> None:
    own = [stretch.span for stretch in lanes.stretches if stretch.lane is lane]
    assert own
    assert all(before.end_ms <= after.at_ms for before, after in pairwise(own))


def test_body_position_is_known_at_every_moment(evening: Analysis, lanes: Score) -> None:
    edges = [(pitch.at_ms, pitch.end_ms) for pitch in lanes.pitches]
    assert edges[0][0] == 0
    assert edges[-1][1] == evening.timeline.total_ms
    assert all(before[1] == after[0] for before, after in pairwise(edges))
    ramps = [pitch for pitch in lanes.pitches if pitch.before != pitch.after]
    assert len(ramps) == sum(span.kind is SpanKind.FLOOR for span in evening.timeline.spans)


def test_strokes_follow_the_phases_of_the_timeline(lanes: Score) -> None:
    worked = [stretch for stretch in lanes.stretches if stretch.span.bout]
    assert len(worked) > 25
    for stretch in worked:
        strokes, expected = stretch.strokes, list(phases(stretch.span))
        assert [(stroke.at_ms, stroke.end_ms, stroke.rep, stroke.side) for stroke in strokes] == [
            (phase.at_ms, phase.end_ms, phase.rep, phase.side) for phase in expected
        ]
        assert strokes[0].at_ms == stretch.span.at_ms
        assert strokes[-1].end_ms == stretch.span.end_ms


def test_a_paused_repetition_goes_down_stays_and_comes_up(lanes: Score) -> None:
    # 2-2-2-0 by hand: 2 s down, 2 s low, 2 s up, no pause on top
    paused = next(stretch for stretch in lanes.stretches if stretch.span.bout and stretch.span.bout.tempo.bottom_ms)
    shape = [(stroke.end_ms - stroke.at_ms, stroke.before, stroke.after) for stroke in paused.strokes[:3]]
    assert shape == [(2000, 0.0, 1.0), (2000, 1.0, 1.0), (2000, 1.0, 0.0)]


def test_pulses_are_small_bends_of_half_a_second_at_the_bottom(plan: Callable[[str], Analysis]) -> None:
    done = plan(
        '[[block]]\nkind = "main"\n  [[block.move]]\n  move = "wide-squat"\n  rung = "pulse"\n  dose = "4 reps"\n'
    )
    drawn = score_lanes(done.session, done.timeline)
    worked = next(stretch for stretch in drawn.stretches if stretch.span.bout)
    pulses = worked.span.cell.rung.form.pulses if worked.span.cell else 0
    bends = [stroke for stroke in worked.strokes if stroke.rep == 1 and 0 < stroke.after < 1]
    assert len(bends) == pulses > 0
    assert all(before.end_ms == after.at_ms for before, after in pairwise(worked.strokes))
    assert worked.strokes[-1].end_ms == worked.span.end_ms


def test_one_side_alone_leaves_the_other_owed(plan: Callable[[str], Analysis]) -> None:
    done = plan(SPLIT.format("left only"))
    (debt,) = score_lanes(done.session, done.timeline).debts
    assert (debt.side, debt.words, debt.paid_ms) == (Side.RIGHT, "right owed 8 reps", None)


def test_a_side_a_round_is_a_debt_until_the_other_round(plan: Callable[[str], Analysis]) -> None:
    done = plan(SPLIT.format("one side a round") + ROUNDS)
    drawn = score_lanes(done.session, done.timeline)
    (debt,) = drawn.debts
    assert debt.side is Side.RIGHT
    assert debt.paid_ms == done.timeline.spans[-1].end_ms
    assert drawn.sides_equal


def test_a_debt_to_the_left_is_settled_too_and_leaves_none(plan: Callable[[str], Analysis]) -> None:
    rounds = ROUNDS + '  cell.split-squat = { sides = "left only" }\n'
    done = plan(SPLIT.format("right only") + rounds)
    (debt,) = score_lanes(done.session, done.timeline).debts
    assert (debt.side, debt.words) == (Side.LEFT, "left owed 8 reps")
    assert debt.paid_ms is not None


def test_both_sides_in_one_cell_owe_nothing(plan: Callable[[str], Analysis], lanes: Score) -> None:
    done = plan(SPLIT.format("left then right"))
    assert score_lanes(done.session, done.timeline).debts == ()
    assert lanes.debts == ()
    assert lanes.sides_equal


def test_the_rung_stands_where_the_move_file_puts_it(evening: Analysis) -> None:
    for cell in evening.session.cells:
        keys = own_keys(cell.move.key)
        assert ladder_place(cell) == keys.index(cell.rung.key)
        assert len(cell.move.ladder) == len(keys)  # as many as are drawn


def test_a_stand_in_stands_on_no_rung(evening: Analysis) -> None:
    cell = next(each for each in evening.session.cells if each.move.key == "march")
    (seated,) = cell.move.stand_ins
    assert seated.key == "seated"
    assert ladder_place(replace(cell, rung=seated)) is None


def own_keys(move: str) -> list[str]:
    """The keys of a move's own rungs in the order of its file: those that start with no other move."""
    written = tomllib.loads((LIBRARY / f"{move}.toml").read_text(encoding="utf-8"))
    return [rung["key"] for rung in written["rung"] if not any("swap" in lever for lever in rung["levers"])]


PAPERS = [WIDE, NARROW, Paper(name="tiny", width=200.0, left=20.0, line_ms=1, margin=0.0)]


@pytest.mark.parametrize("paper", PAPERS, ids=lambda paper: paper.name)
def test_systems_cover_the_clock_and_break_at_bar_lines(lanes: Score, paper: Paper) -> None:
    systems = break_systems(lanes, paper)
    assert (systems[0].at_ms, systems[-1].end_ms) == (0, lanes.total_ms)
    assert all(before.end_ms == after.at_ms for before, after in pairwise(systems))
    assert len({system.units_per_ms for system in systems}) == 1
    for system in systems:
        assert not any(frame.at_ms < system.at_ms < frame.end_ms for frame in lanes.cells)
        assert system.x(system.end_ms) <= paper.width - paper.right + 0.01


def test_half_an_hour_is_three_systems_of_about_ten_minutes(lanes: Score) -> None:
    systems = break_systems(lanes, WIDE)
    assert len(systems) == 3
    assert all(system.end_ms - system.at_ms < 660_000 for system in systems)


def test_the_words_say_every_span(evening: Analysis) -> None:
    rows = score_rows(evening.session, evening.timeline)
    assert len(rows) == len(evening.timeline.spans)
    for row, span in zip(rows, evening.timeline.spans, strict=True):
        minutes, seconds = row.time.split(":")
        assert int(minutes) * 60_000 + round(float(seconds) * 1000) == span.at_ms
        assert row.what.startswith(str(span.kind))
        assert (row.side != "") == (span.kind is SpanKind.WORK)
