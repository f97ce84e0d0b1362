"""Time: the limits are exact to the millisecond, and the remedy is what the cut order or the reserve really does."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from everyrung.checks.rules.duration import cool_down_floor, floor_ms, slot_overrun, slot_underfilled, warm_up_floor
from everyrung.terms.enums import BlockKind
from everyrung.terms.session import Session
from everyrung.terms.units import clock_text
from everyrung.timing.refit import refit
from everyrung.timing.timeline import build_timeline

Make = Callable[..., Session]


def test_a_session_as_long_as_its_slot_fits_and_one_millisecond_more_does_not(session: Make) -> None:
    made = session()
    timeline = build_timeline(made)
    fits, too_long = (replace(made, slot_ms=timeline.total_ms - over_ms) for over_ms in (0, 1))
    assert not list(slot_overrun(fits, timeline))
    assert [found.rule for found in slot_overrun(too_long, timeline)] == ["slot-overrun"]


def test_a_session_of_95_percent_of_its_slot_fills_it_and_a_shorter_one_does_not(session: Make) -> None:
    made = session()
    timeline = build_timeline(made)
    full = replace(made, slot_ms=timeline.total_ms * 20 // 19)
    assert not list(slot_underfilled(full, timeline))
    (found,) = slot_underfilled(replace(full, slot_ms=full.slot_ms + 2), timeline)
    assert f"{clock_text(full.slot_ms + 2 - timeline.total_ms)} left empty" in found.measured


def test_the_sums_by_kind_that_an_overrun_names_add_up_to_the_whole(session: Make) -> None:
    made = session(("slot_minutes = 38", "slot_minutes = 30"))
    timeline = build_timeline(made)
    (found,) = slot_overrun(made, timeline)
    total, _, kinds = found.measured.partition(": ")
    seconds = [int(part.split()[-1].split(":")[0]) * 60 + int(part.split(":")[1]) for part in kinds.split(", ")]
    assert sum(seconds) * 1000 == timeline.total_ms
    assert total.startswith(clock_text(timeline.total_ms))


def test_the_remedy_of_an_overrun_names_what_a_refit_takes_away(session: Make) -> None:
    made = session(("slot_minutes = 38", "slot_minutes = 35"))
    (found,) = slot_overrun(made, build_timeline(made))
    fitted = refit(made, made.slot_ms)
    assert fitted.lost
    assert all(str(lost) in found.remedy for lost in fitted.lost)
    assert clock_text(fitted.after_ms) in found.remedy


@pytest.mark.parametrize(
    ("edits", "words"),
    [
        ((('cut_order = ["Main/Three"]\n', ""),), "there is no cut order yet"),
        ((('["Main/Three"]', '["Cool-down"]'),), "nothing more in the cut order can go"),
        ((("slot_minutes = 35", "slot_minutes = 20"),), "still"),
    ],
)
def test_an_overrun_that_the_cut_order_cannot_mend_says_so(
    session: Make, edits: tuple[tuple[str, str], ...], words: str
) -> None:
    short = [("slot_minutes = 38", "slot_minutes = 35"), *edits]
    made = session(*short)
    (found,) = slot_overrun(made, build_timeline(made))
    assert words in found.remedy


def test_what_is_still_over_after_every_cut_is_said_to_the_second(session: Make) -> None:
    made = session(("slot_minutes = 38", "slot_minutes = 20"))
    (found,) = slot_overrun(made, build_timeline(made))
    over_ms = refit(made, made.slot_ms).after_ms - made.slot_ms
    assert f"it is still {clock_text(over_ms)} over" in found.remedy


def test_a_reserve_that_is_too_long_for_the_gap_is_not_promised(session: Make) -> None:
    made = session()
    timeline = build_timeline(made)
    gap = replace(made, slot_ms=timeline.total_ms * 107 // 100)
    long = replace(gap, reserve=(replace(gap.reserve[0], talk_ms=600_000),))
    (found,) = slot_underfilled(long, timeline)
    assert "the reserve is too long for that" in found.remedy


def test_what_is_left_empty_without_a_reserve_says_that_there_is_none(session: Make) -> None:
    made = replace(session(("slot_minutes = 38", "slot_minutes = 45")), reserve=())
    (found,) = slot_underfilled(made, build_timeline(made))
    assert found.remedy.endswith("; there is no reserve block.")
    assert not found.hint


def test_a_reserve_that_was_taken_in_is_not_offered_again(session: Make) -> None:
    made = session(("slot_minutes = 38", "slot_minutes = 45"))
    fitted = refit(made, made.slot_ms).session
    assert fitted.of_kind(BlockKind.RESERVE)
    (found,) = slot_underfilled(replace(fitted, slot_ms=made.slot_ms), build_timeline(fitted))
    assert found.remedy.endswith("; the reserve is taken in already.")


def test_the_command_that_takes_the_reserve_in_has_whole_minutes_as_the_command_reads_them(session: Make) -> None:
    made = session(("slot_minutes = 38", "slot_minutes = 42"))
    (found,) = slot_underfilled(made, build_timeline(made))
    assert found.hint == "everyrung check --minutes 42 does so."


@pytest.mark.parametrize(
    ("minutes", "seconds"),
    # 5 minutes: ACSM guidelines, 11th ed., from memory; a quarter of a shorter slot: chosen, see FLOOR_SHARE
    [(60, 300), (30, 300), (20, 300), (16, 240), (10, 150), (5, 75)],
)
def test_the_floor_is_five_minutes_and_at_most_a_quarter_of_a_short_slot(minutes: int, seconds: int) -> None:
    assert floor_ms(minutes * 60_000) == seconds * 1000


def test_a_warm_up_of_five_minutes_to_the_millisecond_is_long_enough(session: Make) -> None:
    made = session(('dose = "1:28"', 'dose = "1:19"'))
    timeline = build_timeline(made)
    assert timeline.block_ms("Warm-up") == 300_000
    assert not list(warm_up_floor(made, timeline))


def test_talk_in_the_warm_up_does_not_count_as_warming_up(session: Make) -> None:
    made = session(('dose = "1:28"', 'dose = "0:58"'), ('name = "Warm-up"', 'name = "Warm-up"\ntalk = "0:30"'))
    timeline = build_timeline(made)
    assert timeline.block_ms("Warm-up") >= 300_000
    assert [found.rule for found in warm_up_floor(made, timeline)] == ["warm-up-floor"]


def test_a_cool_down_in_two_blocks_is_added_up(session: Make) -> None:
    made = session()
    (block,) = made.of_kind(BlockKind.COOL_DOWN)
    (each,) = block.rounds
    halves = [
        replace(block, name=f"part {at}", rounds=(replace(each, cells=(cell,)),)) for at, cell in enumerate(each.cells)
    ]
    parts = replace(made, blocks=(*made.blocks[:-1], *halves))
    assert not list(cool_down_floor(parts, build_timeline(parts)))
    fewer = replace(made, blocks=(*made.blocks[:-1], *halves[1:]))
    assert list(cool_down_floor(fewer, build_timeline(fewer)))
