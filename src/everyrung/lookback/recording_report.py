"""A recording on its plan: where each set's work begins in it, by the stage's beeps; in lines and as values."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from everyrung.lookback.beep_clock import ClockStretch, RecordingClock, recording_clock
from everyrung.lookback.beep_filters import hear_beeps
from everyrung.lookback.beep_line import led_line, planned_line
from everyrung.lookback.outcome import Change, Outcome
from everyrung.lookback.plan_sets import PlanSet
from everyrung.lookback.recording import RATE_HZ, Samples, Sound
from everyrung.lookback.show import Show
from everyrung.results.analysis import Analysis
from everyrung.runsheet.beeps import beeps, tunes
from everyrung.runsheet.build import ways
from everyrung.terms.units import clock_text

APART_MS = (
    30_000  # from a set's name to its first beep, beyond what is planned, before words and beeps disagree; chosen
)
SHORT_MS = 1_500  # chosen: less than what a skip or a pause comes to


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordedSet:
    """A set, and when its work begins in the recording, ms; None where no beeps say so."""

    plan: PlanSet
    at_ms: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class OnRecording:
    """All sets of a plan on one recording."""

    name: str
    clock: RecordingClock
    sets: tuple[RecordedSet, ...]
    gaps_s: tuple[tuple[float, float], ...]


def lay_recording_on_plan(
    path: Path,
    analysis: Analysis,
    sets: Sequence[PlanSet],
    show: Show | None,
    on_read: Callable[[int], None] | None = None,
) -> OnRecording:
    """Reads the sound where it lies, once. With the stage's log, whose times then say which set is which. `on_read` is
    called with the seconds that were read, about once a second of sound; what it raises ends it.

    Raises Invalid for a file without sound that can be read.
    """
    sound = Sound(path)
    hearing = hear_beeps(_with_count(sound.blocks(), on_read) if on_read else sound.blocks())
    count_in_ms = analysis.session.clock.count_in_ms
    whole = planned_line(beeps(analysis.timeline, count_in_ms=count_in_ms))
    if show is None:
        clock = recording_clock(hearing, whole, whole)
        times = [[each.work_at_ms] for each in sets]
    else:
        by = tunes(analysis.timeline)
        marks = [beeps(way.timeline, count_in_ms=count_in_ms, by=by) for way in ways(analysis).variants]
        clock = recording_clock(hearing, led_line(show, marks), None)
        times = [[bout.wall_ms - show.start_ms for bout in row.bouts] for row in show.rows]
    places = [[at_ms for time in each if (at_ms := clock.at(time)) is not None] for each in times]
    rows = (RecordedSet(plan=plan, at_ms=min(at, default=None)) for plan, at in zip(sets, places, strict=True))
    return OnRecording(name=path.name, clock=clock, sets=tuple(rows), gaps_s=tuple(sound.gaps_s))


def _with_count(blocks: Iterator[Samples], on_read: Callable[[int], None]) -> Iterator[Samples]:
    count, last_s = 0, 0
    for block in blocks:
        yield block
        count += len(block)
        if count // RATE_HZ > last_s:
            last_s = count // RATE_HZ
            on_read(last_s)


def recording_lines(recording: OnRecording) -> Iterator[str]:
    """Set by set, then what the clock did."""
    if recording.clock.refusal:
        yield f"{recording.name}: {recording.clock.refusal}"
        return
    yield "  film      plan    work begins"
    for each in recording.sets:
        at = _tenths(each.at_ms) if each.at_ms is not None else "-"
        unheard = "" if each.at_ms is not None else ": its beeps are not heard"
        yield f"{at:>9} {clock_text(each.plan.work_at_ms):>6}    {each.plan.name}{unheard}"
    yield ""
    yield from recording_sentences(recording)


def recording_sentences(recording: OnRecording) -> Iterator[str]:
    """What the rows don't say."""
    clock = recording.clock
    beep_count = sum(each.last - each.first + 1 for each in clock.stretches)
    near_count = sum(each.audible for each in clock.stretches)
    yield (
        f"{near_count} of {beep_count} beeps lie within 10 ms of the session's clock, "
        f"whose second is {1 + clock.drift:.6f} s of the recording."
    )
    for before, after in pairwise(clock.stretches):
        yield from _between(before, after, clock.drift)
    for each in clock.stretches:
        if not each.is_sure:
            yield f"From {_tenths(each.at_ms)} on beeps are heard, but it can't be told which sets they belong to."
    for from_s, to_s in recording.gaps_s:
        yield f"No sound from {_tenths(1000 * from_s)} to {_tenths(1000 * to_s)}."


def _between(before: ClockStretch, after: ClockStretch, drift: float) -> Iterator[str]:
    """A pause is more time in the recording than on the line, a skip is less."""
    more_ms = (after.at_ms - before.end_ms) - (1 + drift) * (after.line_ms - before.line_end_ms)
    at = f"{_tenths(before.end_ms)} and {_tenths(after.at_ms)}"
    if more_ms > SHORT_MS:
        yield f"Between {at} the clock stood still for {more_ms / 1000:.1f} s."
    elif more_ms < -SHORT_MS:
        yield f"Between {at} {-more_ms / 1000:.1f} s of the session were left out."


def agreement_lines(recording: OnRecording, outcome: Outcome) -> Iterator[str]:
    """Where words and beeps of the same recording say something different of a set."""
    for each in outcome.steps:
        if each.change in (Change.STRAY, Change.AGAIN):
            continue
        by_beeps = recording.sets[each.place]
        if each.at_ms is None and by_beeps.at_ms is not None:
            yield f"{each.name}: nobody names it, and its beeps sound at {_tenths(by_beeps.at_ms)}."
        elif each.at_ms is not None and by_beeps.at_ms is not None:
            lead_ms = by_beeps.at_ms - each.at_ms
            plan_ms = by_beeps.plan.work_at_ms - by_beeps.plan.at_ms
            if abs(lead_ms - plan_ms) > APART_MS:
                yield f"{each.name}: named at {_tenths(each.at_ms)}, its beeps sound at {_tenths(by_beeps.at_ms)}."


def recording_values(recording: OnRecording) -> dict[str, object]:
    """Everything, for JSON: ms of the recording, of the session's clock (with a log the wall's), and of the plan."""
    clock = recording.clock
    return {
        "refusal": clock.refusal,
        "drift_ppm": round(1e6 * clock.drift, 2),
        "value": round(clock.value, 1),
        "decoy_value": round(clock.decoy_value, 1),
        "sets": [
            {
                "ref": each.plan.ref,
                "side": str(each.plan.bout.side),
                "name": each.plan.name,
                "plan_ms": each.plan.work_at_ms,
                "at_ms": None if each.at_ms is None else round(each.at_ms, 1),
            }
            for each in recording.sets
        ],
        "stretches": [
            {
                "at_ms": round(each.at_ms, 1),
                "end_ms": round(each.end_ms, 1),
                "clock_ms": each.line_ms,
                "clock_end_ms": each.line_end_ms,
                "plan_ms": each.plan_ms,
                "plan_end_ms": each.plan_end_ms,
                "beeps": each.last - each.first + 1,
                "heard": each.audible,
                "sure": each.is_sure,
            }
            for each in clock.stretches
        ],
        "gaps_s": [list(each) for each in recording.gaps_s],
    }


def _tenths(at_ms: float) -> str:
    whole = int(round(at_ms, -2))
    return f"{clock_text(whole // 1000 * 1000)}.{whole % 1000 // 100}"
