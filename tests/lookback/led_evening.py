"""An evening that was led otherwise than planned: a side skipped, a standstill, three sets left out, hearts."""

from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path

from everyrung.lookback.heart_file import HeartFile, Reading
from everyrung.lookback.heart_on_plan import asks
from everyrung.lookback.plan_sets import PlanSet, plan_sets
from everyrung.lookback.review import Review, Sources, WornHeart, look_back
from everyrung.lookback.stage_log import StageLog, stage_events
from everyrung.moves.library import standard_library
from everyrung.pipeline import Options, run
from everyrung.results.analysis import Analysis

DEMO = Path(__file__).parents[2] / "examples" / "boathouse-30.toml"
WALL = 1_790_000_000_000
STOOD_S = 97
GAP_S = (500, 640)  # of Wilma's watch, from two minutes before it began


@cache
def demo() -> Analysis:
    return run(DEMO, options=Options(branches=True))


def sets() -> tuple[PlanSet, ...]:
    return plan_sets(demo().session, demo().timeline)


def squat() -> str:
    """The name of the first set that is left out."""
    return next(each.cell.rung.name for each in sets() if each.ref == "Main/Three/squat")


def log_of(*rows: tuple[int, str, int, dict[str, object]], notes: str = "") -> StageLog:
    """Rows of ms on the wall since the start, what, ms of the plan, and what else there is to say."""
    values = [{"wall_ms": WALL + wall_ms, "what": what, "at_ms": at_ms, **more} for wall_ms, what, at_ms, more in rows]
    return StageLog(title="The boathouse evening", revision=1, events=stage_events(values), notes=notes)


def as_planned() -> StageLog:
    total_ms = demo().timeline.total_ms
    return log_of((0, "start", 0, {}), (0, "go", 0, {}), (total_ms, "end", total_ms, {}))


def otherwise() -> StageLog:
    """The right split squats of round one skipped, a standstill in the hinge after them, three sets of round three."""
    rows = sets()
    left, right = (each for each in rows if each.ref == "Main/One/lunge")
    end_ms = left.work_at_ms + left.bout.duration_ms
    hinge = next(each for each in rows if each.work_at_ms > right.work_at_ms)
    skip_ms = hinge.at_ms - end_ms
    stand_ms = hinge.work_at_ms + 9_000
    late_ms = 1000 * STOOD_S - skip_ms
    three = next(place for place, each in enumerate(rows) if each.ref.startswith("Main/Three"))
    from_ms, to_ms, total_ms = rows[three].at_ms, rows[three + 3].at_ms, demo().timeline.total_ms
    return log_of(
        (0, "start", 0, {}),
        (0, "go", 0, {"by": "stage"}),
        (end_ms, "set", end_ms, {"cell": "Main/One/lunge"}),
        (end_ms, "skip", end_ms, {"to_ms": hinge.at_ms, "by": "remote"}),
        (stand_ms - skip_ms, "pause", stand_ms, {"by": "remote"}),
        (stand_ms + late_ms, "go", stand_ms, {"by": "remote"}),
        (from_ms + late_ms, "skip", from_ms, {"to_ms": to_ms, "by": "stage"}),
        (total_ms + late_ms - (to_ms - from_ms), "end", total_ms, {}),
        notes="Cold hall",
    )


def heart(low_bpm: float = 70.0, gap_s: tuple[int, int] = GAP_S) -> HeartFile:
    """A curve that follows the plan, from two minutes before it began."""
    begin = datetime.fromtimestamp(WALL / 1000 - 120, UTC)
    shape = asks(demo().timeline)
    readings = [
        Reading(
            at=begin + timedelta(seconds=second),
            bpm=None
            if gap_s[0] <= second < gap_s[1]
            else low_bpm + 55 * shape[min(max(second - 120, 0), len(shape) - 1)],
        )
        for second in range(len(shape) + 240)
    ]
    return HeartFile(name="watch.fit", readings=tuple(readings), problems=())


def review_of(log: StageLog | None = None, **more: object) -> Review:
    """Laid on the demo's plan; a problem is raised."""

    def refuse(what: str, problem: Exception) -> None:
        raise AssertionError(what) from problem

    sources = Sources(log=log, **more)  # type: ignore[arg-type]
    return look_back(demo(), standard_library(), sources, lambda *_: None, refuse)


def whole() -> Review:
    """With two hearts, one on medicine that limits the rate."""
    hearts = (
        WornHeart(file=heart(), whose="Wilma", on_medicine=False),
        WornHeart(file=heart(), whose="Odd", on_medicine=True),
    )
    return review_of(otherwise(), hearts=hearts)
