"""The timeline: whole milliseconds without a gap, every repetition by its tempo, rests counted honestly."""

from itertools import groupby, pairwise

from everyrung.moves.library import standard_library
from everyrung.plan.read import plan_from_text
from everyrung.plan.resolve import resolve
from everyrung.terms.enums import Position, Side, SpanKind
from everyrung.terms.session import Session
from everyrung.terms.timeline import Span, phases
from everyrung.timing.timeline import build_timeline

HEAD = """\
title = "Evening"
slot_minutes = 30
[who]
in_room = 8
[[kit]]
item = "dumbbells"
mass = "10 lb"
as = "pairs"
each = 1
[[kit]]
item = "ball"
diameter = "55 cm"
rated = "250 kg"
count = 9
[[block]]
kind = "main"
"""


def session_of(body: str) -> Session:
    return resolve(plan_from_text(HEAD + body, "evening.toml"), standard_library())


def spans_of(body: str) -> tuple[Span, ...]:
    return build_timeline(session_of(body)).spans


def kinds(spans: tuple[Span, ...]) -> list[SpanKind]:
    return [span.kind for span in spans]


def test_spans_follow_each_other_and_sums_by_kind_add_up() -> None:
    timeline = build_timeline(session_of('[[block.move]]\nmove = "split-squat"\n[[block.move]]\nmove = "bridge"\n'))
    assert timeline.spans[0].at_ms == 0
    assert all(one.end_ms == other.at_ms for one, other in pairwise(timeline.spans))
    assert sum(timeline.by_kind.values()) == timeline.total_ms
    assert all(isinstance(span.end_ms, int) for span in timeline.spans)


def test_a_bout_lasts_its_repetitions_times_its_tempo() -> None:
    """Arithmetic by hand: 8 repetitions of 3 + 1 + 2 + 0 seconds are 48 seconds a side."""
    spans = spans_of('[[block.move]]\nmove = "split-squat"\ndose = "8 a side"\ntempo = "3-1-2-0"\n')
    work = [span for span in spans if span.kind is SpanKind.WORK]
    assert [(span.side, span.duration_ms) for span in work] == [(Side.LEFT, 48_000), (Side.RIGHT, 48_000)]
    first = list(phases(work[0]))
    assert [(each.name, each.end_ms - each.at_ms) for each in first[:4]] == [
        ("sink", 3000), ("low", 1000), ("stand", 2000), ("sink", 3000),
    ]  # fmt: skip
    assert first[-1].end_ms == work[0].end_ms
    assert first[-1].rep == 8


def test_pulses_lengthen_the_bottom_of_each_repetition() -> None:
    body = '[[block.move]]\nmove = "squat"\ndose = "5 reps"\ntempo = "2-0-2-0"\nadd = [{ pulse = 2 }]\n'
    (work,) = [span for span in spans_of(body) if span.kind is SpanKind.WORK]
    assert work.duration_ms == 5 * (4000 + 2 * 500)
    assert list(phases(work))[1].end_ms - list(phases(work))[1].at_ms == 1000


def test_a_bridge_begins_with_the_lift_and_pulses_at_its_top() -> None:
    """A repetition begins where the move rests; its pulses are at the other end."""
    body = '[[block.move]]\nmove = "bridge"\ndose = "5 reps"\ntempo = "2-1-3-1"\nadd = [{ pulse = 2 }]\n'
    (work,) = [span for span in spans_of(body) if span.kind is SpanKind.WORK]
    first = [(each.name, each.end_ms - each.at_ms) for each in phases(work) if each.rep == 1]
    assert first == [("lift", 3000), ("hold the line", 1000 + 2 * 500), ("roll down", 2000), ("touch", 1000)]


def test_an_extra_lengthens_the_full_depth() -> None:
    body = '[[block.move]]\nmove = "ball-leg-curl"\ndose = "5 reps"\nadd = [{ extra = "floor tap" }]\n'
    (work,) = [span for span in spans_of(body) if span.kind is SpanKind.WORK]
    first = [(each.name, each.end_ms - each.at_ms) for each in phases(work) if each.rep == 1]
    assert first == [("roll out", 3000), ("long", 4000), ("draw in", 2000)]


def test_a_timed_bout_holds_whole_repetitions_and_ends_on_time() -> None:
    body = '[[block.move]]\nmove = "squat"\ndose = "0:45"\ntempo = "2-0-2-0"\n'
    (work,) = [span for span in spans_of(body) if span.kind is SpanKind.WORK]
    assert work.bout is not None
    assert (work.bout.reps, work.duration_ms) == (11, 45_000)
    assert list(phases(work))[-1].end_ms == work.end_ms


def test_a_hold_is_one_phase() -> None:
    (work,) = [span for span in spans_of('[[block.move]]\nmove = "front-plank"\ndose = "20 s"\n') if span.bout]
    assert [(each.end_ms - each.at_ms, each.rep) for each in phases(work)] == [(20_000, 0)]


def test_alternating_repetitions_change_side_and_end_even() -> None:
    body = '[[block.move]]\nmove = "dead-bug"\ndose = "6 a side"\n[[block.move]]\nmove = "march"\ndose = "0:31"\n'
    dead_bug, march = [span for span in spans_of(body) if span.bout]
    sides = [next(each.side for each in phases(dead_bug) if each.rep == rep) for rep in range(1, 13)]
    assert sides == [Side.LEFT, Side.RIGHT] * 6
    assert march.bout is not None
    assert march.bout.reps % 2 == 0


def test_explaining_and_fetching_happen_inside_the_rest() -> None:
    """A rest counts from the end of one bout to the start of the next; only what is left over stands as rest."""
    for rest, expected in (("5 s", False), ("2:00", True)):
        body = f'rest = "{rest}"\n[[block.move]]\nmove = "squat"\n[[block.move]]\nmove = "hip-hinge"\n'
        spans = spans_of(body)
        work = [span for span in spans if span.kind is SpanKind.WORK]
        between_ms = work[1].at_ms - work[0].end_ms
        assert (SpanKind.REST in kinds(spans)) is expected
        assert between_ms == 120_000 if expected else between_ms > 5_000


def test_a_move_is_explained_in_full_once_then_only_what_changed() -> None:
    body = """\
[[block.move]]
move = "squat"
[[block.round]]
name = "One"
[[block.round]]
name = "Two"
like = "One"
[[block.round]]
name = "Three"
like = "Two"
cell.squat = { add = [{ pause = "2 s" }] }
"""
    said = [span.duration_ms for span in spans_of(body) if span.kind is SpanKind.EXPLAIN]
    clock = session_of(body).clock
    assert said == [clock.explain_first_ms, clock.explain_same_ms, clock.explain_change_ms]


def test_getting_down_and_up_is_on_the_clock_and_counted() -> None:
    body = "".join(f'[[block.move]]\nmove = "{move}"\n' for move in ("squat", "bridge", "push-up", "hip-hinge"))
    timeline = build_timeline(session_of(body))
    floors = [(span.position, span.duration_ms) for span in timeline.spans if span.kind is SpanKind.FLOOR]
    clock = session_of(body).clock
    assert floors == [
        (Position.BACK, clock.down_to_floor_ms),
        (Position.FRONT_SUPPORT, clock.turn_over_ms),
        (Position.STANDING, clock.up_from_floor_ms),
    ]
    places = [span.position.on_floor for span in timeline.spans]
    assert [place for place, _ in groupby(places)] == [False, True, False]


def test_a_single_load_changes_hands_with_the_side_and_is_opposite_to_the_working_leg() -> None:
    """Opposite side: trade rule; the hip abductors of the standing leg work harder for it (Stastny 2015)."""
    spans = spans_of('[[block.move]]\nmove = "split-squat"\nload = "10 lb"\ndose = "8 a side"\n')
    work = [span for span in spans if span.bout]
    assert [(span.side, span.bout.load_side) for span in work if span.bout] == [
        (Side.LEFT, Side.RIGHT), (Side.RIGHT, Side.LEFT),
    ]  # fmt: skip
    (switch,) = [span for span in spans if span.kind is SpanKind.SWITCH]
    clock = session_of('[[block.move]]\nmove = "squat"\n').clock
    assert switch.duration_ms == clock.side_switch_ms + clock.hand_change_ms


def test_the_plan_may_put_the_load_in_another_hand() -> None:
    body = '[[block.move]]\nmove = "split-squat"\nload = "10 lb"\ncarry = "working hand"\ndose = "8 a side"\n'
    assert [span.bout.load_side for span in spans_of(body) if span.bout] == [Side.LEFT, Side.RIGHT]


def test_kit_is_put_away_and_taken_up_on_the_clock() -> None:
    body = '[[block.move]]\nmove = "squat"\nload = "10 lb"\n[[block.move]]\nmove = "squat"\nas = "plain"\n'
    spans = spans_of(body)
    changes = [(span.text, [held.label for held in span.kit]) for span in spans if span.kind is SpanKind.KIT]
    assert changes == [("take 10 lb", ["10 lb"]), ("put away 10 lb", [])]


def test_talk_before_a_block_counts_as_rest() -> None:
    """After a bout with a minute's rest, half a minute of talk leaves half a minute less what fetching takes."""
    body = 'rest = "1:00"\n[[block.move]]\nmove = "squat"\n[[block]]\nkind = "main"\nname = "Second"\ntalk = "30 s"\n'
    spans = spans_of(body + '[[block.move]]\nmove = "hip-hinge"\n')
    work = [span for span in spans if span.kind is SpanKind.WORK]
    assert work[1].at_ms - work[0].end_ms == 60_000


def test_the_end_of_a_timed_bout_is_spent_in_its_top_phase() -> None:
    body = '[[block.move]]\nmove = "squat"\ndose = "0:45"\ntempo = "2-0-2-0"\n'
    (work,) = [span for span in spans_of(body) if span.kind is SpanKind.WORK]
    last = list(phases(work))[-1]
    assert work.cell is not None
    assert (last.name, last.end_ms - last.at_ms) == (work.cell.rung.form.phases[3], 1000)


def test_a_chair_is_fetched_standing_and_then_sat_on() -> None:
    body = '[[block.move]]\nmove = "bridge"\n[[block.move]]\nmove = "seated-march"\n'
    after = [span for span in spans_of(body) if span.cell and span.cell.ref.cell == "seated-march"]
    places = {span.kind: span.position for span in after}
    assert places[SpanKind.KIT] is Position.STANDING
    assert places[SpanKind.WORK] is Position.SEATED


def test_the_reserve_is_not_on_the_clock() -> None:
    body = '[[block.move]]\nmove = "squat"\n[[block]]\nkind = "reserve"\n[[block.move]]\nmove = "calf-raise"\n'
    session = session_of(body)
    assert [block.name for block in session.reserve] == ["Reserve"]
    assert {span.block.name for span in build_timeline(session).spans} == {"Main"}


def test_right_first_and_in_all_are_kept_as_written() -> None:
    body = '[[block.move]]\nmove = "split-squat"\nsides = "right then left"\ndose = "13 in all"\n'
    work = [span for span in spans_of(body) if span.bout]
    assert [(span.side, span.bout.reps) for span in work if span.bout] == [(Side.RIGHT, 7), (Side.LEFT, 6)]


def test_a_changed_dose_is_explained_as_a_change_and_the_same_set_as_the_same() -> None:
    session = session_of(
        '[[block.move]]\nmove = "squat"\ndose = "10 reps"\n[[block.round]]\nname = "One"\n'
        '[[block.round]]\nname = "Two"\nlike = "One"\ncell.squat = { dose = "12 reps" }\n'
        '[[block.round]]\nname = "Three"\nlike = "Two"\n'
    )
    told = [span.duration_ms for span in build_timeline(session).spans if span.kind is SpanKind.EXPLAIN]
    clock = session.clock
    assert told == [clock.explain_first_ms, clock.explain_change_ms, clock.explain_same_ms]
    assert len(set(told)) == 3
