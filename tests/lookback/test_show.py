"""A stage's log beside its plan: real times, counts, pauses, skips, cuts, sides owed; times by hand from the plan."""

import csv
import io
import json
from pathlib import Path
from typing import Any

import pytest

from everyrung.cli import main
from everyrung.lookback.outcome import Change
from everyrung.lookback.plan_sets import plan_sets
from everyrung.lookback.show import Show, ShowRow, lay_log_on_plan
from everyrung.lookback.show_report import show_csv, show_lines
from everyrung.lookback.stage_log import StageLog, read_stage_log, stage_events, stage_log_text
from everyrung.pipeline import Options, run
from everyrung.results.analysis import Analysis
from everyrung.runsheet.build import ways
from everyrung.terms.errors import Faults, Invalid

DEMO = Path(__file__).parents[2] / "examples" / "boathouse-30.toml"
WALL = 1_790_000_000_000


@pytest.fixture(scope="module")
def demo() -> Analysis:
    return run(DEMO, options=Options(branches=True))


def a_log(*rows: tuple[int, str, int, dict[str, Any]], notes: str = "") -> StageLog:
    """Rows of seconds on the wall, what, ms of the plan, and what else there is to say."""
    values = [{"wall_ms": WALL + 1000 * at_s, "what": what, "at_ms": at_ms, **more} for at_s, what, at_ms, more in rows]
    return StageLog(title="The boathouse evening", revision=3, events=stage_events(values), notes=notes)


def laid(demo: Analysis, log: StageLog) -> Show:
    return lay_log_on_plan(log, plan_sets(demo.session, demo.timeline), ways(demo))


def row(led: Show, ref: str, side: str = "both") -> ShowRow:
    return next(each for each in led.rows if each.plan.ref == ref and str(each.plan.bout.side) == side)


def lunge(demo: Analysis) -> tuple[int, int, int]:
    """When the first split squats' left side begins and ends, and where its right one begins, ms of the plan."""
    left, right = (each for each in plan_sets(demo.session, demo.timeline) if each.ref == "Main/One/lunge")
    return left.work_at_ms, left.work_at_ms + left.bout.duration_ms, right.work_at_ms


def test_a_show_without_an_event_is_as_planned(demo: Analysis) -> None:
    total = demo.timeline.total_ms
    led = laid(demo, a_log((0, "start", 0, {}), (0, "go", 0, {}), (total // 1000, "end", total, {})))
    assert [each.change for each in led.rows] == [Change.NONE] * len(led.rows)
    assert all(each.bouts[0].wall_ms - WALL == each.plan.work_at_ms for each in led.rows)
    assert all(sum(bout.reps for bout in each.bouts) == each.plan.bout.reps for each in led.rows)
    assert led.took_ms == led.plan_ms == total
    assert led.is_ended


def test_a_pause_within_a_set_lengthens_it_and_all_after_it_is_later(demo: Analysis) -> None:
    at, end, _ = lunge(demo)
    middle, total = at + 5_000, demo.timeline.total_ms
    led = laid(demo, a_log(
        (0, "start", 0, {}), (0, "go", 0, {"by": "stage"}), (middle // 1000, "pause", middle, {"by": "remote"}),
        (middle // 1000 + 47, "go", middle, {"by": "remote"}), (total // 1000 + 47, "end", total, {}),
    ))  # fmt: skip
    (bout,) = row(led, "Main/One/lunge", "left").bouts
    assert (bout.from_ms, bout.to_ms, bout.paused_ms) == (0, end - at, 47_000)
    assert bout.wall_end_ms - bout.wall_ms == end - at + 47_000
    assert (
        row(led, "Main/Two/lunge", "left").bouts[0].wall_ms - WALL - 47_000
        == row(led, "Main/Two/lunge", "left").plan.work_at_ms
    )
    assert led.took_ms == total + 47_000
    text = "\n".join(show_lines(led))
    assert "It stood still for 0:47" in text
    assert "Steered by: remote 2 ×, stage 1 ×." in text


def test_a_side_that_is_skipped_is_owed_until_it_is_let_go(demo: Analysis) -> None:
    _, end, right = lunge(demo)
    after = next(each.at_ms for each in plan_sets(demo.session, demo.timeline) if each.work_at_ms > right)
    begun = [
        (0, "start", 0, {}), (0, "go", 0, {}), (end // 1000, "set", end, {"cell": "Main/One/lunge"}),
        (end // 1000 + 1, "skip", end + 1_000, {"cell": "Main/One/lunge", "to_ms": after}),
        (end // 1000 + 11, "here", after + 10_000, {}),
    ]  # fmt: skip
    led = laid(demo, a_log(*begun))
    assert row(led, "Main/One/lunge", "right").change is Change.SKIPPED
    assert [each.name for each in led.debts] == ["Split squat, right"]
    assert "The log breaks off" in "\n".join(show_lines(led))
    waived = laid(demo, a_log(*begun, (end // 1000 + 20, "waive", after + 19_000, {})))
    assert not waived.debts


def test_half_a_set_and_one_that_is_led_again(demo: Analysis) -> None:
    at, end, _ = lunge(demo)
    sets = plan_sets(demo.session, demo.timeline)
    rep_ms = next(each for each in sets if each.ref == "Main/One/lunge").bout.rep_ms
    led = laid(demo, a_log(
        (0, "start", 0, {}), (0, "go", 0, {}),
        (at // 1000 + 1, "back", at + 2 * rep_ms + 1, {"to_ms": at - 10_000}),
        (at // 1000 + 100, "pause", end + 1_000, {}),
    ))  # fmt: skip
    first, second = row(led, "Main/One/lunge", "left").bouts
    assert (first.reps, first.is_whole) == (3, False)
    assert second.is_whole
    assert row(led, "Main/One/lunge", "left").change is Change.NONE
    twice = laid(demo, a_log(
        (0, "start", 0, {}), (0, "go", 0, {}), (end // 1000, "back", end, {"to_ms": at}),
        (end // 1000 + 100, "pause", end + 1_000, {}),
    ))  # fmt: skip
    assert row(twice, "Main/One/lunge", "left").change is Change.AGAIN


def test_what_is_cut_is_not_called_skipped_and_what_comes_after_it_is_at_its_own_time(demo: Analysis) -> None:
    branches = ways(demo)
    fork = next(each for each in branches.forks if each.of == 0)
    total = branches.variants[fork.onto].timeline.total_ms
    at_ms = fork.from_ms + 1
    led = laid(demo, a_log(
        (0, "start", 0, {}), (0, "go", 0, {}), (at_ms // 1000, "cut", at_ms, {"cell": ", ".join(map(str, fork.cells))}),
        (total // 1000, "end", total, {}),
    ))  # fmt: skip
    cut = {each.plan.ref for each in led.rows if each.change is Change.CUT}
    assert cut == {str(each) for each in fork.cells}
    assert {each.change for each in led.rows} == {Change.NONE, Change.CUT}


def test_time_without_a_stage_is_none_that_it_took(demo: Analysis) -> None:
    led = laid(demo, a_log(
        (0, "start", 0, {}), (0, "go", 0, {}), (60, "left", 60_000, {}), (400, "again", 60_000, {}),
        (410, "go", 60_000, {}), (420, "pause", 70_000, {}),
    ))  # fmt: skip
    assert led.took_ms == 70_000
    assert [(each.length_ms, each.is_away) for each in led.pauses] == [(350_000, True)]


def test_a_log_goes_out_and_comes_in_as_it_was_with_notes(tmp_path: Path) -> None:
    log = a_log(
        (0, "start", 0, {}),
        (1, "go", 0, {"by": "remote"}),
        (9, "skip", 9_000, {"to_ms": 62_000}),
        notes="Cold hall; Zoë's knee.",
    )
    path = tmp_path / "led.json"
    path.write_text(stage_log_text(log), encoding="utf-8")
    assert read_stage_log(path) == log


def test_the_spreadsheet_has_one_row_a_set_and_is_read_as_utf_8(demo: Analysis) -> None:
    total = demo.timeline.total_ms
    led = laid(demo, a_log((0, "start", 0, {}), (0, "go", 0, {}), (total // 1000, "end", total, {})))
    text = show_csv(led)
    assert text.startswith("\ufeff")
    rows = list(csv.DictReader(io.StringIO(text.removeprefix("\ufeff"))))
    assert len(rows) == len(led.rows)
    assert rows[9]["counted_reps"] == rows[9]["planned_reps"] != ""
    assert float(rows[9]["led_at_s"]) == float(rows[9]["planned_at_s"])


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("nonsense", "expected JSON"), ("[]", "stage_log"), ('{"stage_log": 1}', "events"),
        ('{"stage_log": 1, "events": [{"what": "start"}]}', "number 1"),
        ('{"stage_log": 1, "events": [{"what": "jump", "wall_ms": 1, "at_ms": 1}]}', "what: expected"),
        ('{"stage_log": 1, "events": []}', "the start of a show"),
    ],
)  # fmt: skip
def test_what_is_no_log_is_refused_with_its_place(text: str, words: str, tmp_path: Path) -> None:
    path = tmp_path / "led.json"
    path.write_text(text)
    with pytest.raises(Faults, match=words):
        read_stage_log(path)


def test_the_log_of_another_plan_or_version_is_refused(demo: Analysis) -> None:
    for cell, at_ms in (("Main/One/lunge", 5_000), ("Main/Nine/nothing", 5_000)):
        log = a_log((0, "start", 0, {}), (0, "go", 0, {}), (5, "set", at_ms, {"cell": cell}))
        with pytest.raises(Invalid, match="the log of this"):
            laid(demo, log)


def test_review_prints_plan_beside_log_and_as_json(
    demo: Analysis, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "led.json"
    path.write_text(
        stage_log_text(a_log((0, "start", 0, {}), (0, "go", 0, {}), (700, "pause", 700_000, {}))), encoding="utf-8"
    )
    assert main(["review", str(DEMO), "--log", str(path)]) == 0
    out = capsys.readouterr().out
    assert "The log breaks off at 11:40 of the plan." in out
    assert main(["review", str(DEMO), "--log", str(path), "--json"]) == 0
    assert len(json.loads(capsys.readouterr().out)["log"]["sets"]) == sum(
        len(cell.bouts) for cell in demo.session.cells
    )
    assert main(["review", str(DEMO)]) == 2
    assert "--log LOG, --video FILE, --transcript FILE" in capsys.readouterr().err
