"""What a coach should know of a show by its log, in notes as those of a transcript: sides, sets left out, time."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from everyrung.lookback.notes import FEW, OFF_MS, OFF_PART, ORDER, OTHERWISE, UNEVEN, Note
from everyrung.lookback.outcome import Change
from everyrung.lookback.show import Show, ShowRow
from everyrung.lookback.show_report import count_reps, work_ms
from everyrung.results.analysis import Analysis
from everyrung.runsheet.build import ways
from everyrung.terms.enums import BlockKind, Side, SpanKind
from everyrung.terms.units import clock_text

STOOD_MS = 60_000  # a standstill that is worth a note; chosen, as a sip of water takes less
OVER_MS = 120_000  # beyond the plan; chosen: a hall is not free two minutes later
STOOD = "stood still"


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeSum:
    """How long one kind of time took and how long the plan has it, ms."""

    kind: str
    real_ms: int
    plan_ms: int


def show_notes(show: Show) -> Iterator[Note]:
    """All of them; a log is sure of what it says, and times are of the session."""
    yield from _sides(show)
    yield from _changes(show)
    yield from _blocks(show)
    yield from _times(show)


def _note(gravity: int, at_ms: int | None, text: str) -> Note:
    return Note(gravity=gravity, at_ms=at_ms, text=text, is_sure=True)


def _sides(show: Show) -> Iterator[Note]:
    for debt in show.debts:
        amount = f"{debt.bout.reps} repetitions" if debt.bout.reps else f"{_clock(debt.bout.duration_ms)} of work"
        yield _note(UNEVEN, _last_ms(show, debt.ref), f"{debt.name}: still owed, {amount}; the other side was done.")
    pairs: dict[str, list[ShowRow]] = {}
    for row in show.rows:
        if row.plan.bout.side is not Side.BOTH and row.bouts:
            pairs.setdefault(row.plan.ref, []).append(row)
    owed_refs = {each.ref for each in show.debts}
    for ref, rows in pairs.items():
        if len(rows) != 2 or ref in owed_refs:
            continue
        reps, times = [count_reps(row) for row in rows], [work_ms(row) for row in rows]
        plans = [row.plan.bout for row in rows]
        if all(plan.reps for plan in plans) and reps[0] - reps[1] != plans[0].reps - plans[1].reps:
            amounts = [f"{count} {row.plan.bout.side}" for count, row in zip(reps, rows, strict=True)]
            name = rows[0].plan.cell.rung.name
            yield _note(UNEVEN, _last_ms(show, ref), f"{name}: the stage counted {amounts[0]} and {amounts[1]}.")
        elif not any(plan.reps for plan in plans) and abs(times[0] - times[1]) > 2_000:
            amounts = [f"{_clock(time)} {row.plan.bout.side}" for time, row in zip(times, rows, strict=True)]
            name = rows[0].plan.cell.rung.name
            yield _note(UNEVEN, _last_ms(show, ref), f"{name}: {amounts[0]} and {amounts[1]} of work.")


def _last_ms(show: Show, ref: str) -> int | None:
    """When a cell was worked on last."""
    ends = [bout.wall_ms - show.start_ms for row in show.rows if row.plan.ref == ref for bout in row.bouts]
    return max(ends, default=None)


def _changes(show: Show) -> Iterator[Note]:
    debts = {(each.ref, each.bout.side) for each in show.debts}
    by_change: dict[Change, list[ShowRow]] = {}
    for row in show.rows:
        if row.change and (row.plan.ref, row.plan.bout.side) not in debts:
            by_change.setdefault(row.change, []).append(row)
    for change, rows in by_change.items():
        if len(rows) > FEW:
            names = list(dict.fromkeys(row.plan.name for row in rows))
            yield _note(OTHERWISE, _begin_ms(show, rows[0]), f"{len(rows)} sets {change}: {', '.join(names)}.")
            continue
        for row in rows:
            yield _note(OTHERWISE, _begin_ms(show, row), f"{row.plan.name} ({row.plan.where}): {change}.")


def _begin_ms(show: Show, row: ShowRow) -> int | None:
    return row.bouts[0].wall_ms - show.start_ms if row.bouts else None


def _blocks(show: Show) -> Iterator[Note]:
    for kind in (BlockKind.WARM_UP, BlockKind.COOL_DOWN):
        rows = [row for row in show.rows if row.plan.block_kind is kind]
        if rows and not any(row.bouts for row in rows):
            yield _note(ORDER, None, f"The {kind} was left out.")


def _times(show: Show) -> Iterator[Note]:
    for pause in show.pauses:
        if pause.length_ms >= STOOD_MS:
            what = "No stage was open" if pause.is_away else "It stood still"
            at_ms = pause.wall_ms - show.start_ms
            text = f"{what} for {_clock(pause.length_ms)}, at {_clock(pause.at_ms)} of the plan."
            yield _note(OTHERWISE, at_ms, text)
    if show.is_ended and abs(show.took_ms - show.plan_ms) >= OVER_MS:
        yield _note(OTHERWISE, None, f"It took {_clock(show.took_ms)}; the plan has {_clock(show.plan_ms)}.")
    for each in part_sums(show):
        off_ms = abs(each.real_ms - each.plan_ms)
        if each.real_ms and off_ms >= OFF_MS and off_ms >= OFF_PART * each.plan_ms:
            text = f"The {each.kind} took {_clock(each.real_ms)}; the plan has {_clock(each.plan_ms)}."
            yield _note(OTHERWISE, None, text)


def part_sums(show: Show) -> tuple[TimeSum, ...]:
    """Warm-up, main part, cool-down: from the first set's announcement to the last one's work, and as planned."""
    result = []
    for kind in dict.fromkeys(row.plan.block_kind for row in show.rows):
        rows = [row for row in show.rows if row.plan.block_kind is kind]
        begins = [row.bouts[0].wall_ms - (row.plan.work_at_ms - row.plan.at_ms) for row in rows if row.bouts]
        ends = [row.bouts[-1].wall_end_ms for row in rows if row.bouts]
        plans = [row.plan for row in rows]
        plan_ms = max(each.work_at_ms + each.bout.duration_ms for each in plans) - min(each.at_ms for each in plans)
        real_ms = max(ends) - max(show.start_ms, min(begins)) if begins else 0
        result.append(TimeSum(kind=str(kind), real_ms=real_ms, plan_ms=plan_ms))
    return tuple(result)


def kind_sums(show: Show, analysis: Analysis) -> tuple[TimeSum, ...]:
    """Work, explaining, rests and the like, as the stage's clock went through them, and what stood still."""
    branches = ways(analysis)
    real, plan = Counter[str](), Counter[str]()
    for span in analysis.timeline.spans:
        plan[str(span.kind)] += span.duration_ms
    for part in show.stretches:
        for span in branches.variants[part.way].timeline.spans:
            from_ms, to_ms = max(span.at_ms, part.at_ms), min(span.end_ms, part.end_ms)
            if from_ms < to_ms:
                real[str(span.kind)] += part.wall_of(to_ms) - part.wall_of(from_ms)
    real[STOOD] = sum(each.length_ms for each in show.pauses)
    kinds = [*(str(kind) for kind in SpanKind), STOOD]
    return tuple(
        TimeSum(kind=kind, real_ms=real[kind], plan_ms=plan[kind]) for kind in kinds if real[kind] or plan[kind]
    )


def _clock(length_ms: int) -> str:
    return clock_text(round(length_ms, -3))
