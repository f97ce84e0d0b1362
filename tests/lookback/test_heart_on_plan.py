"""A heart rate on its session: offset, gaps, coverage, means; nothing is said of people on limiting medicine."""

import json
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from spoken import EXAMPLES

from everyrung.cli import main
from everyrung.lookback.heart_file import HeartFile, Reading
from everyrung.lookback.heart_on_plan import HeartOutcome, lay_heart
from everyrung.lookback.heart_report import heart_sentences
from everyrung.lookback.plan_sets import PlanSet, plan_sets
from everyrung.moves.library import standard_library
from everyrung.plan.read import read_plan
from everyrung.plan.resolve import resolve
from everyrung.terms.enums import SpanKind
from everyrung.terms.timeline import Timeline
from everyrung.timing.timeline import build_timeline

NOON = datetime(2026, 3, 19, 12, tzinfo=UTC)
BEFORE_S = 400


@cache
def evening() -> tuple[tuple[PlanSet, ...], Timeline]:
    session = resolve(read_plan(EXAMPLES / "boathouse-30.toml"), standard_library())
    timeline = build_timeline(session)
    return plan_sets(session, timeline), timeline


def beats(seed: int, *, follows: bool = True) -> list[float]:
    """A watch from `BEFORE_S` before the session to five minutes after it, by a way of our own: each second the rate
    goes a fiftieth of the way to what is asked, and wanders. With `follows` off it wanders alone.
    """
    rng = np.random.default_rng(seed)
    _, timeline = evening()
    asked = np.full(BEFORE_S + timeline.total_ms // 1000 + 300, 68.0)
    for span in timeline.spans:
        if span.kind is not SpanKind.ANNOUNCE:
            at = slice(BEFORE_S + span.at_ms // 1000, BEFORE_S + span.end_ms // 1000)
            asked[at] = 135 if span.kind is SpanKind.WORK else 95
    rate, drift, result = 68.0, 0.0, []
    for each in asked if follows else np.full(len(asked), 100.0):
        drift = 0.98 * drift + rng.normal(0, 1.0)
        rate += (each - rate) / 50
        result.append(rate + drift + rng.normal(0, 1.5))
    return result


def file(rates: list[float], *, every: int = 1, gone: range = range(0), pause_at: int | None = None) -> HeartFile:
    readings = [
        Reading(
            at=NOON + timedelta(seconds=second), bpm=None if second in gone else rate, after_pause=second == pause_at
        )
        for second, rate in enumerate(rates)
        if second % every == 0
    ]
    return HeartFile(name="watch.fit", readings=tuple(readings), problems=())


def lay(each: HeartFile, begins: datetime | None = None) -> HeartOutcome:
    return lay_heart(each, *evening(), begins)


BEGINS = NOON + timedelta(seconds=BEFORE_S)


def test_the_beginning_is_found_and_said_to_be_sure() -> None:
    off_s = []
    for seed in range(6):
        outcome = lay(file(beats(seed)))
        off_s.append(abs((outcome.beginning.at - BEGINS).total_seconds()))
        assert outcome.beginning.is_sure
    assert max(off_s) <= 20


def test_a_curve_that_does_not_follow_is_not_sure() -> None:
    assert not any(lay(file(beats(seed, follows=False))).beginning.is_sure for seed in range(6))


def test_a_resting_value_is_offered_from_before() -> None:
    resting = lay(file(beats(1)), BEGINS).resting_bpm
    assert resting is not None
    assert 52 <= resting <= 68  # they sat at 68, and the curve wanders by five
    assert lay(file(beats(1)[BEFORE_S - 10 :]), NOON + timedelta(seconds=10)).resting_bpm is None


def test_a_mean_needs_half_of_its_stretch() -> None:
    sets, _ = evening()
    first = BEFORE_S + sets[0].at_ms // 1000
    length_s = (next(each.at_ms for each in sets if each.ref.startswith("Main")) - sets[0].at_ms) // 1000
    for part, has_mean in ((0.45, True), (0.55, False)):
        outcome = lay(file(beats(1), gone=range(first, first + round(part * length_s))), BEGINS)
        warm_up, main = outcome.stretches[0], outcome.stretches[1]
        assert warm_up.coverage == pytest.approx(1 - part, abs=0.01)
        assert (warm_up.mean_bpm is not None) == has_mean
        assert main.coverage == 1
        assert main.mean_bpm is not None


def test_sparse_readings_are_joined_and_a_pause_is_not() -> None:
    sparse = lay(file(beats(1), every=13), BEGINS).stretches[1]
    assert sparse.coverage == 1
    assert sparse.between == pytest.approx(12 / 13, abs=0.02)
    far = lay(file(beats(1), every=30), BEGINS).stretches[1]
    assert far.coverage == pytest.approx(1 / 30, abs=0.01)
    assert far.mean_bpm is None
    at = BEFORE_S + 26 * ((evening()[0][9].at_ms // 1000) // 26)
    at -= at % 13
    paused = lay(file(beats(1), every=13, pause_at=at), BEGINS)
    assert int(np.isnan(paused.rates).sum()) == 12


def test_a_gap_is_no_rate_and_no_zero() -> None:
    sets, _ = evening()
    gone = range(BEFORE_S + sets[9].at_ms // 1000, BEFORE_S + sets[9].at_ms // 1000 + 15)
    outcome = lay(file(beats(1), gone=gone), BEGINS)
    whole = lay(file(beats(1)), BEGINS)
    assert int(np.isnan(outcome.rates).sum()) == 15
    before, after = outcome.stretches[1].mean_bpm, whole.stretches[1].mean_bpm
    assert before is not None
    assert after is not None
    assert abs(before - after) < 3


def test_what_has_no_rate_is_said_with_its_reason() -> None:
    """F14, F15, F20: nothing is dropped without a word."""
    gone = list(heart_sentences(lay(file(beats(3), gone=range(300, 340)))))
    assert any(f"40 of {len(beats(3))} readings have no rate" in each for each in gone)
    stopped = list(heart_sentences(lay(file(beats(3), pause_at=500))))
    assert any("The watch was stopped once" in each for each in stopped)
    assert not any("no rate" in each or "stopped" in each for each in heart_sentences(lay(file(beats(3)))))


def test_a_file_too_short_for_a_session_says_so_and_claims_no_beginning() -> None:
    """The small files of our cases: three seconds of a watch."""
    first = next(heart_sentences(lay(file([100.0, 104.0, 120.0]))))
    assert first.startswith("? The file has 0:03 of heart rate: too little")


def test_the_command_shows_rounds_and_nothing_on_medicine(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Case H32 of our cases: on a beta-blocker the rate stays low however hard the work is."""
    points = "".join(
        f"<Trackpoint><Time>{NOON + timedelta(seconds=second):%Y-%m-%dT%H:%M:%SZ}</Time>"
        f"<HeartRateBpm><Value>{rate:.0f}</Value></HeartRateBpm></Trackpoint>"
        for second, rate in enumerate(beats(3))
    )
    path = tmp_path / "watch.tcx"
    path.write_text(f"<T><Track>{points}</Track></T>")
    plan = str(EXAMPLES / "boathouse-30.toml")
    assert main(["review", plan, "--heart", str(path)]) == 0
    assert "Main, Two" in capsys.readouterr().out
    assert main(["review", plan, "--heart", str(path), "--medicine", "--json"]) == 0
    heart = json.loads(capsys.readouterr().out)["heart"][0]
    assert heart["resting_bpm"] is None
    assert all(each["mean_bpm"] is None and each["most_bpm"] is None for each in heart["rounds"])
    assert all(each["coverage"] == 1 for each in heart["rounds"])
    with pytest.raises(SystemExit):
        main(["review", plan, "--heart", str(path), "--began", "2026-03-19T12:06:40"])
    assert "with its zone" in capsys.readouterr().err
