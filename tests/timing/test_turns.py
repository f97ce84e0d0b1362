"""Waves on the clock: each wave walked through its turns by hand, and what a plan may and may not say of them."""

from pathlib import Path

import pytest

from everyrung.moves.library import standard_library
from everyrung.plan.edit import apply_edit
from everyrung.plan.read import plan_from_text
from everyrung.plan.resolve import resolve
from everyrung.plan.write import write_plan
from everyrung.terms.edit import RemoveMove
from everyrung.terms.enums import SpanKind
from everyrung.terms.errors import Faults
from everyrung.terms.session import Block, Session
from everyrung.timing.timeline import build_timeline
from everyrung.timing.turns import RESTS, WAITS

EXAMPLE = (Path(__file__).parents[2] / "examples" / "boathouse-30.toml").read_text(encoding="utf-8")
WAVES = 'waves = [["squat", "lunge"], ["lift", "rest"]]'
WORK = (SpanKind.WORK, SpanKind.SWITCH)


def text_with(waves: str) -> str:
    return EXAMPLE.replace('kind = "main"', f'kind = "main"\n{waves}')


def session_of(text: str) -> Session:
    return resolve(plan_from_text(text, "plan.toml"), standard_library())


def main_of(session: Session) -> Block:
    return next(block for block in session.blocks if block.name == "Main")


def test_the_clock_of_a_pair_is_what_two_waves_take_by_hand() -> None:
    """Squat and lunge of round one: the second wave lunges while the first squats, then the other way round."""
    session = session_of(text_with(WAVES))
    squat, lunge = main_of(session).rounds[0].cells[:2]
    clock, spans = session.clock, build_timeline(session).spans
    work = [span for span in spans if span.cell in (squat, lunge) and span.kind is SpanKind.WORK]
    squat_ms = squat.bouts[0].duration_ms
    lunge_ms = sum(bout.duration_ms for bout in lunge.bouts) + clock.side_switch_ms
    ready_ms = clock.settle_ms + clock.count_in_ms
    ball_wall_ms = clock.ball_ms + clock.wall_ms  # taken by one wave and put away by the other
    longest_ms = max(squat_ms, lunge_ms)
    # From one turn's first repetition to the next one's: the longer work, then the rest, or getting ready where longer.
    assert work[1].at_ms - work[0].at_ms == longest_ms + max(squat.rest_ms, lunge.rest_ms, ball_wall_ms + ready_ms)
    waits = [span.duration_ms for span in spans if span.text == WAITS and span.cell is squat]
    assert sum(waits) == longest_ms - squat_ms


def test_a_wave_that_has_nothing_to_do_rests_for_a_turn() -> None:
    session = session_of(text_with(WAVES))
    for each in main_of(session).rounds:
        lift = next((cell for cell in each.cells if cell.ref.cell == "lift"), None)
        spans = [span for span in build_timeline(session).spans if span.round is each and span.text == RESTS]
        assert len(spans) == (1 if lift else 0)
        for span in spans:
            assert lift is not None
            assert span.duration_ms >= sum(bout.duration_ms for bout in lift.bouts)


def test_all_of_a_group_is_explained_before_anyone_begins() -> None:
    session = session_of(text_with(WAVES))
    squat, lunge = main_of(session).rounds[0].cells[:2]
    kinds = [(span.kind, span.cell) for span in build_timeline(session).spans if span.cell in (squat, lunge)]
    first_work = next(at for at, (kind, _) in enumerate(kinds) if kind is SpanKind.WORK)
    said = [cell for kind, cell in kinds[:first_work] if kind is SpanKind.EXPLAIN]
    assert said == [squat, lunge]
    assert SpanKind.EXPLAIN not in [kind for kind, _ in kinds[first_work:]]


def test_waves_change_neither_work_nor_sides() -> None:
    def work(text: str) -> list[tuple[str, str, int]]:
        spans = build_timeline(session_of(text)).spans
        return sorted(
            (str(span.cell.ref), str(span.side), span.duration_ms) for span in spans if span.cell and span.kind in WORK
        )

    assert work(text_with(WAVES)) == work(EXAMPLE)


def test_a_plan_keeps_its_waves_when_it_is_written() -> None:
    plan = plan_from_text(text_with(WAVES), "plan.toml")
    assert plan_from_text(write_plan(plan), "plan.toml") == plan


@pytest.mark.parametrize(
    ("waves", "expected", "nearest"),
    [
        ('waves = [["squat", "lung"]]', "a move of this block", "lunge"),
        ('waves = [["squat", "lunge"], ["lunge", "lift"]]', "each move in one group, once", ""),
        ('waves = [["squat"]]', "2 to 4 moves, or one of them and 'rest'", ""),
        ('waves = [["rest", "rest"]]', "2 to 4 moves, or one of them and 'rest'", ""),
        ('waves = ["squat"]', 'a list of lists of moves, such as [["squat", "push-up"]]', ""),
        ('waves = [["squat", 3]]', "", ""),
    ],
)
def test_waves_that_cannot_be_led_are_refused_in_words(waves: str, expected: str, nearest: str) -> None:
    with pytest.raises(Faults) as refusal:
        session_of(text_with(waves))
    (fault,) = refusal.value.faults
    assert expected in fault.expected
    assert nearest in (fault.nearest or "")
    assert fault.where.line == EXAMPLE[: EXAMPLE.index('kind = "main"')].count("\n") + 2


def test_a_move_that_is_taken_out_leaves_its_wave_a_rest() -> None:
    text = apply_edit(text_with(WAVES), RemoveMove(block="Main", cell="lunge"), standard_library())
    assert main_of(session_of(text)).rounds[0].waves == (("squat", "rest"), ("lift", "rest"))
    text = apply_edit(text, RemoveMove(block="Main", cell="lift"), standard_library())
    assert main_of(session_of(text)).rounds[0].waves == (("squat", "rest"),)
