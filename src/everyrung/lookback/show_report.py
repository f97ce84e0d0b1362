"""A show beside its plan: in lines for the screen, as values for programs, as rows for a spreadsheet."""

import csv
import io
from collections import Counter
from collections.abc import Iterator
from datetime import UTC, datetime

from everyrung.lookback.outcome import Change
from everyrung.lookback.show import Show, ShowRow
from everyrung.lookback.stage_log import What, event_values
from everyrung.terms.units import clock_text

HEADS = (
    "set", "side", "ref", "planned_at_s", "led_at_s", "planned_s", "worked_s", "planned_reps", "counted_reps",
    "paused_s", "change", "versions_shown",
)  # fmt: skip


def show_lines(show: Show) -> Iterator[str]:
    """Plan against log, set by set; then what stood still, was pressed, cut and is owed."""
    yield "  led     plan   worked         counted    set"
    yield from (_row(show, row) for row in show.rows)
    yield ""
    yield from show_sentences(show)


def show_sentences(show: Show) -> Iterator[str]:
    """What the rows don't say."""
    took = f"It took {_clock(show.took_ms)}; the plan has {_clock(show.plan_ms)}."
    last = show.log.events[-1]
    yield took if show.is_ended else f"{took} The log breaks off at {_clock(last.at_ms)} of the plan."
    for pause in show.pauses:
        what = "No stage was open" if pause.is_away else "It stood still"
        at = _clock(pause.wall_ms - show.start_ms)
        yield f"{what} for {_clock(pause.length_ms)} from {at} on, at {_clock(pause.at_ms)} of the plan."
    hands = Counter(each.by or "stage" for each in show.steering)
    if hands:
        yield f"Steered by: {', '.join(f'{name} {count} ×' for name, count in hands.most_common())}."
    for each in show.log.events:
        if each.what in (What.CUT, What.UNDO) and each.cell:
            words = "Cut" if each.what is What.CUT else "Cut no more"
            yield f"{words} at {_clock(each.wall_ms - show.start_ms)}: {each.cell.replace('/', ', ')}."
    if show.debts:
        yield f"Owed at the end: {'; '.join(each.name for each in show.debts)}."
    if show.log.notes:
        yield f"Notes: {show.log.notes}"


def _clock(length_ms: int) -> str:
    return clock_text(round(length_ms, -3))


def _row(show: Show, row: ShowRow) -> str:
    plan = f"{_clock(row.plan.work_at_ms):>7}"
    name = f"{row.plan.name}{f': {row.change}' if row.change else ''}"
    if not row.bouts:
        return f"{'-':>7} {plan}   {'-':<14} {'-':<10} {name}"
    at = _clock(row.bouts[0].wall_ms - show.start_ms)
    work = f"{_clock(work_ms(row))} of {_clock(row.bouts[0].plan_ms)}"
    pause_ms = sum(each.paused_ms for each in row.bouts)
    pauses = f" (stood {_clock(pause_ms)})" if pause_ms else ""
    return f"{at:>7} {plan}   {work:<14} {_reps(row):<10} {name}{pauses}"


def work_ms(row: ShowRow) -> int:
    """How much of its work was on, all times together."""
    return sum(each.to_ms - each.from_ms for each in row.bouts)


def count_reps(row: ShowRow) -> int:
    """Repetitions that the stage counted, all times together."""
    return sum(each.reps for each in row.bouts)


def _reps(row: ShowRow) -> str:
    reps = row.plan.bout.reps
    return f"{count_reps(row)} of {reps}" if reps else "hold"


def versions(row: ShowRow) -> tuple[str, ...]:
    """The versions that stood on the stage's ladder beside the one that is led; none where the set was never on."""
    return tuple(option.rung.name for option in row.plan.cell.options) if row.bouts else ()


def show_values(show: Show) -> dict[str, object]:
    """Everything, for JSON: times in ms since it began, but for the events' own."""
    return {
        "title": show.log.title,
        "revision": show.log.revision,
        "started": datetime.fromtimestamp(show.start_ms / 1000, UTC).isoformat(timespec="milliseconds"),
        "plan_ms": show.plan_ms,
        "took_ms": show.took_ms,
        "ended": show.is_ended,
        "sets": [_set_values(show, row) for row in show.rows],
        "standstills": [
            {
                "at_ms": each.wall_ms - show.start_ms,
                "plan_ms": each.at_ms,
                "length_ms": each.length_ms,
                "no_stage": each.is_away,
            }
            for each in show.pauses
        ],
        "owed": [{"ref": each.ref, "side": str(each.bout.side)} for each in show.debts],
        "steering": event_values(show.steering),
        "notes": show.log.notes,
    }


def _set_values(show: Show, row: ShowRow) -> dict[str, object]:
    return {
        "ref": row.plan.ref,
        "side": str(row.plan.bout.side),
        "name": row.plan.name,
        "plan_at_ms": row.plan.work_at_ms,
        "plan_reps": row.plan.bout.reps,
        "change": str(row.change),
        "versions_shown": list(versions(row)),
        "bouts": [
            {
                "at_ms": each.wall_ms - show.start_ms,
                "end_ms": each.wall_end_ms - show.start_ms,
                "from_ms": each.from_ms,
                "to_ms": each.to_ms,
                "plan_ms": each.plan_ms,
                "paused_ms": each.paused_ms,
                "reps": each.reps,
            }
            for each in row.bouts
        ],
    }


def show_csv(show: Show) -> str:
    """One row a set, for a spreadsheet: times in seconds, with a mark by which it is read as UTF-8."""
    file = io.StringIO()
    rows = csv.writer(file)
    rows.writerow(HEADS)
    for row in show.rows:
        at_s: float | str = _seconds(row.bouts[0].wall_ms - show.start_ms) if row.bouts else ""
        rows.writerow(
            [
                row.plan.cell.rung.name, str(row.plan.bout.side), row.plan.ref, _seconds(row.plan.work_at_ms), at_s,
                _seconds(row.plan.bout.duration_ms), _seconds(work_ms(row)), row.plan.bout.reps or "",
                count_reps(row) if row.plan.bout.reps else "", _seconds(sum(each.paused_ms for each in row.bouts)),
                str(row.change or Change.NONE), "; ".join(versions(row)),
            ]
        )  # fmt: skip
    return "\ufeff" + file.getvalue()


def _seconds(length_ms: int) -> float:
    return length_ms / 1000
