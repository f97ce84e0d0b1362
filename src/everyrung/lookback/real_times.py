"""A session as it was on a clock of its own, from 0 when it began: by the stage's log, else by the words or beeps."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from statistics import median

from everyrung.lookback.outcome import Change, Outcome
from everyrung.lookback.plan_sets import PlanSet
from everyrung.lookback.recording_report import OnRecording
from everyrung.lookback.show import Show
from everyrung.terms.enums import Side

LEAST_PAIRS = 5  # sets by which a recording is laid on a log; chosen, because fewer may all be off alike


@dataclass(frozen=True, slots=True, kw_only=True)
class RealSet:
    """One time that a set was done, ms of the session. `place` counts the plan's sets; None of one that it has not.
    `is_exact`: its work was on from `at_ms` to `end_ms`; else it was named at the one, and the next one at the other.
    """

    place: int | None
    name: str
    side: Side
    at_ms: int
    end_ms: int
    change: Change
    is_sure: bool
    is_exact: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class RealTimes:
    """All of them in order of time. `by` says what they come from; `missing` are places of the plan that were not done.
    `recording_ms` is when the session began in the recording or transcript; None where there is none, or nobody knows.
    """

    by: str
    sets: tuple[RealSet, ...]
    missing: tuple[int, ...]
    total_ms: int
    recording_ms: int | None


def real_times(
    sets: Sequence[PlanSet], show: Show | None, outcome: Outcome | None, recording: OnRecording | None
) -> RealTimes | None:
    """By the surest of what there is; None where there is nothing."""
    beeps = recording if recording and not recording.clock.refusal else None
    if show:
        return _by_log(show, outcome, beeps)
    if outcome:
        return _by_words(sets, outcome)
    return _by_beeps(sets, beeps) if beeps else None


def _by_log(show: Show, outcome: Outcome | None, beeps: OnRecording | None) -> RealTimes:
    sets = [
        RealSet(
            place=place,
            name=row.plan.name,
            side=row.plan.bout.side,
            at_ms=bout.wall_ms - show.start_ms,
            end_ms=bout.wall_end_ms - show.start_ms,
            change=row.change,
            is_sure=True,
            is_exact=True,
        )
        for place, row in enumerate(show.rows)
        for bout in row.bouts
    ]
    begin_ms = _begin_in_recording(show, outcome, beeps)
    strays = list(_strays(outcome, begin_ms)) if outcome and begin_ms is not None else []
    last_ms = max((each.wall_end_ms for each in show.stretches), default=show.start_ms) - show.start_ms
    return RealTimes(
        by="the stage's log",
        sets=tuple(sorted([*sets, *strays], key=lambda each: each.at_ms)),
        missing=tuple(place for place, row in enumerate(show.rows) if not row.bouts),
        total_ms=last_ms,
        recording_ms=begin_ms,
    )


def _begin_in_recording(show: Show, outcome: Outcome | None, beeps: OnRecording | None) -> int | None:
    """The middle of what the sets say that both have; None where hardly one does."""
    starts = [row.bouts[0].wall_ms - show.start_ms if len(row.bouts) == 1 else None for row in show.rows]
    pairs: list[float] = []
    if beeps:
        pairs = [
            each.at_ms - start
            for each, start in zip(beeps.sets, starts, strict=True)
            if each.at_ms is not None and start is not None
        ]
    if len(pairs) < LEAST_PAIRS and outcome:
        for step in outcome.steps:
            start = starts[step.place] if step.at_ms is not None and not step.change and step.is_sure else None
            if start is not None and step.at_ms is not None:
                plan = outcome.sets[step.place]
                pairs.append(step.at_ms + plan.work_at_ms - plan.at_ms - start)
    return round(median(pairs)) if len(pairs) >= LEAST_PAIRS else None


def _strays(outcome: Outcome, begin_ms: int) -> Iterator[RealSet]:
    for step in outcome.steps:
        if step.change is Change.STRAY and step.at_ms is not None and step.end_ms is not None:
            yield RealSet(
                place=None,
                name=step.name,
                side=Side.BOTH,
                at_ms=max(0, step.at_ms - begin_ms),
                end_ms=max(1, step.end_ms - begin_ms),
                change=step.change,
                is_sure=step.is_sure,
                is_exact=False,
            )


def _by_words(sets: Sequence[PlanSet], outcome: Outcome) -> RealTimes:
    """From the first set that is heard, which is laid where the plan has it."""
    steps = [each for each in outcome.steps if each.at_ms is not None and each.end_ms is not None]
    first = next((each for each in steps if each.change is not Change.STRAY), None)
    begin_ms = (first.at_ms or 0) - sets[first.place].at_ms if first else 0
    rows = tuple(
        RealSet(
            place=None if each.change is Change.STRAY else each.place,
            name=each.name,
            side=Side.BOTH if each.change is Change.STRAY else sets[each.place].bout.side,
            at_ms=max(0, (each.at_ms or 0) - begin_ms),
            end_ms=max(1, (each.end_ms or 0) - begin_ms),
            change=each.change,
            is_sure=each.is_sure,
            is_exact=False,
        )
        for each in steps
    )
    return _in_recording("the transcript", rows, len(sets), begin_ms)


def _by_beeps(sets: Sequence[PlanSet], recording: OnRecording) -> RealTimes:
    """Beeps say when work began; its length is the plan's."""
    begins = [(place, each.at_ms) for place, each in enumerate(recording.sets) if each.at_ms is not None]
    begin_ms = begins[0][1] - sets[begins[0][0]].work_at_ms if begins else 0.0
    rows = tuple(
        RealSet(
            place=place,
            name=sets[place].name,
            side=sets[place].bout.side,
            at_ms=round(at_ms - begin_ms),
            end_ms=round(at_ms - begin_ms) + sets[place].bout.duration_ms,
            change=Change.NONE,
            is_sure=True,
            is_exact=True,
        )
        for place, at_ms in begins
    )
    return _in_recording("the beeps in the recording", rows, len(sets), round(begin_ms))


def _in_recording(by: str, rows: tuple[RealSet, ...], count: int, begin_ms: int) -> RealTimes:
    """What a recording told of a plan of `count` sets; those that are in no row are missing."""
    places = {each.place for each in rows}
    return RealTimes(
        by=by,
        sets=rows,
        missing=tuple(place for place in range(count) if place not in places),
        total_ms=max((each.end_ms for each in rows), default=0),
        recording_ms=begin_ms,
    )
