"""Sets in time with music. Case M2 (cases/CASES.md, the client's arithmetic): at 128 beats a minute and four counts a
repetition, eight repetitions fill a phrase of 32 counts in 15 s; twelve end in mid-phrase after 22.5 s.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from everyrung.checks.registry import check
from everyrung.compose.case import Case
from everyrung.compose.mend import again, candidates, remedies
from everyrung.moves.library import standard_library
from everyrung.parsing.units import tempo
from everyrung.pipeline import Options, run_plan
from everyrung.plan.music import PHASES, beat_ms, counts_a_rep, into_phrase, on_the_beat, reps_by_phrase
from everyrung.plan.read import plan_from_text
from everyrung.plan.resolve import resolve
from everyrung.plan.write import write_plan
from everyrung.terms.errors import Faults
from everyrung.terms.session import Cell
from everyrung.timing.timeline import build_timeline

PLAN = """
title = "To music"
slot_minutes = 20
[who]
in_room = 5
[[block]]
kind = "main"
name = "Main"
[[block.move]]
move = "squat"
dose = "{reps} reps"
tempo = "1-0-1-0"
beats_a_minute = {beats}
[[block.move]]
move = "front-plank"
beats_a_minute = 128
[[block.round]]
name = "One"
"""


def cells(beats: str = "128", reps: int = 12) -> tuple[Cell, ...]:
    session = resolve(plan_from_text(PLAN.format(beats=beats, reps=reps), "music.toml"), standard_library())
    return session.blocks[0].rounds[0].cells


def test_twelve_repetitions_end_in_mid_phrase_after_22_5_s_and_eight_fill_one_in_15() -> None:
    squat, _ = cells()
    (bout,) = squat.bouts
    assert counts_a_rep(bout, 128) == 4
    assert (bout.reps * bout.rep_ms, into_phrase(bout, 128)) == (22_500, 16)
    assert reps_by_phrase(bout, 128) == (8, 16)
    (eight,) = cells(reps=8)[0].bouts
    assert (eight.reps * eight.rep_ms, into_phrase(eight, 128)) == (15_000, 0)


def test_what_ends_in_mid_phrase_is_noted_with_the_numbers_that_do_not() -> None:
    run = run_plan(plan_from_text(PLAN.format(beats=128, reps=12), "music.toml"))
    (found,) = [each for each in run.findings if each.rule == "mid-phrase"]
    assert found.measured == "12 repetitions of 4 counts end 16 counts into a phrase"
    assert "8 or 16 repetitions" in found.remedy
    fine = resolve(plan_from_text(PLAN.format(beats=128, reps=16), "music.toml"), standard_library())
    assert "mid-phrase" not in {each.rule for each in check(fine, build_timeline(fine))}


def test_a_hold_keeps_its_time() -> None:
    _, plank = cells()
    assert plank.beats_a_minute == 0
    assert plank.bouts[0].tempo.is_hold


@given(st.floats(40, 220), st.sampled_from(("2-0-1-0", "3-1-2-0", "1-0-1-0", "4-2-4-1", "0.5-0-0.5-0", "6-0-3-0")))
def test_phases_are_whole_counts_and_nothing_that_takes_no_time_takes_some(beats: float, before: str) -> None:
    now = on_the_beat(tempo(before), beats)
    for name in PHASES:
        counts = getattr(now, name) / beat_ms(beats)
        assert counts == pytest.approx(round(counts), abs=0.01)
        assert bool(getattr(now, name)) == bool(getattr(tempo(before), name))
    assert round(now.rep_ms / beat_ms(beats)) in (2, 4, 8, 16)
    assert on_the_beat(now, beats) == now  # what keeps time already is left as it is


@pytest.mark.parametrize("beats", ["0", "300", '"fast"', "true"])
def test_what_is_no_beat_is_refused_in_words(beats: str) -> None:
    with pytest.raises(Faults, match="beats a minute, 40 to 220"):
        plan_from_text(PLAN.format(beats=beats, reps=8), "music.toml")


def test_the_beat_is_written_and_read_again() -> None:
    plan = plan_from_text(PLAN.format(beats="128.5", reps=8), "music.toml")
    anew = plan_from_text(write_plan(plan), "music.toml")
    assert [each.beats_a_minute for each in anew.blocks[0].columns.values()] == [128.5, 128]


def test_what_is_offered_ends_with_a_phrase_or_leaves_the_music_out() -> None:
    text = PLAN.format(beats=128, reps=12)
    run = run_plan(plan_from_text(text, "music.toml"))
    (found,) = [each for each in run.findings if each.rule == "mid-phrase"]
    case = Case(finding=found, run=run, library=standard_library())
    words = [each.words for each in candidates(case)]
    assert words == [
        "8 reps, to the end of a phrase",
        "16 reps, to the end of a phrase",
        "8 counts a repetition",
        "No music for this move",
    ]
    hold = remedies(text, case, again("mid-phrase", standard_library(), Options()))
    assert {"16 reps, to the end of a phrase", "No music for this move"} <= {each.words for each in hold}
