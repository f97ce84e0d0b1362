"""The lines that `rehearse` prints."""

from everyrung.effort.uncertainty import unsure_limiters
from everyrung.effort.words import effort_range, kind_words
from everyrung.results.analysis import Analysis
from everyrung.terms.forecast import (
    HOLD_OR_SKIP,
    LEAST_MOVED,
    Advice,
    CellForecast,
    Forecast,
    PersonAdvice,
    RungForecast,
    Take,
)

MARK = "*"
WIDTH = 50  # of the column of rungs


def forecast_lines(run: Analysis, *, brief: bool = False) -> list[str]:
    """The whole session first, then cell by cell; `brief` has one line a cell."""
    found = run.forecast
    if found is None:
        return [run.session.title]
    lines = [run.session.title, *_whole_lines(found)]
    for cell in found.cells:
        lines += [_brief_line(cell)] if brief else ["", *_cell_lines(cell)]
    return lines


def _brief_line(cell: CellForecast) -> str:
    led = cell.led
    strong = f"{led.finishing!s:>17} strong enough as led, " if led else ""
    return f"  {cell.ref!s:<28} {strong}{cell.some_rung!s:>17} finish a rung that their kit and limits allow"


def _whole_lines(found: Forecast) -> list[str]:
    worst = found.worst
    lines = [
        f"Rehearsed before {found.people:,} people: {found.mix} (seed {found.seed}).",
        "  In brackets: between which per cent four of five cases lie, as far as the model knows its own error.",
        f"  {MARK} its strength is from memory, so something else could give out first.",
        f"  {found.whole} can finish every set with some rung.",
    ]
    if worst:
        lines.append(f"  Hardest to finish: {worst.ref}, {worst.some_rung}.")
    if found.sore.of:
        lines.append(f"  First-timers at risk of days of soreness: {found.sore} of {found.sore.of:,}.")
    lines += [f"  Mean heart rate in the main part: {found.heart}", f"  Energy: {found.energy}"]
    if found.on_medicine.count:
        count = found.on_medicine.count
        lines.append(f"  Heart rate leaves out {count:,} people on medicine that slows the heart.")
    lines += [f"  Not computed: {ref}: {why}" for ref, why in found.failed.items()]
    return lines


def _cell_lines(cell: CellForecast) -> list[str]:
    lines = [
        f"{cell.ref}: {cell.some_rung} can finish some rung, {cell.skipping} hold or skip",
        f"  {'rung':<{WIDTH}} {'finish':>17}  {'stopped by 10/50/90%':<20} {'advised':>17}  usual effort",
        *(_rung_line(rung) for rung in cell.rungs),
    ]
    led = cell.led
    if led and led.limiting:
        stops = ", ".join(
            f"{name}{MARK if name in unsure_limiters() else ''} {share}" for name, share in led.limiting[:2]
        )
        lines.append(f"  as led, what gives out first: {stops}")
    moved = [
        f"{name} {some:+.0f} (as led {one:+.0f})"
        for name, (some, one) in cell.moved.items()
        if max(abs(some), abs(one)) >= LEAST_MOVED
    ]
    if moved:
        lines.append(f"  how many more or fewer in 100 finish, if: {'; '.join(moved)}")
    return lines


def _rung_line(rung: RungForecast) -> str:
    name = f"{kind_words(rung.kind)}: {rung.name}"
    name = name if len(name) <= WIDTH else name[: WIDTH - 1] + "…"
    usual = effort_range(rung.left)
    line = f"  {name:<{WIDTH}} {rung.finishing!s:>17}  {fails_words(rung):<20} {rung.advised!s:>17}  {usual}"
    loads = [f"{each.load} {each.advised}" for each in rung.loads if each.load and each.advised.count]
    return f"{line}  [{', '.join(loads)}]" if loads else line.rstrip()


def fails_words(rung: RungForecast) -> str:
    """'5 / 14 / 40 reps': the repetition that is not done any more; '>100' where counting stopped."""
    shown = [
        f">{rung.most:g}" if value >= rung.most else f"{value + (rung.unit == 'reps'):.0f}"
        for value in (rung.possible.p10, rung.possible.p50, rung.possible.p90)
    ]
    return f"{' / '.join(shown)} {'rep' if rung.unit == 'reps' else 's'}"


def advice_lines(one: PersonAdvice) -> list[str]:
    """One person's evening; no word about health."""
    lines = [one.name, *(f"  ({each})" for each in one.taken)]
    lines += [f"  {line}" for cell in one.cells for line in _advice_lines(cell)]
    lines += [f"  {line}" for line in one.balls]
    return [*lines, f"  {one.heart}"] if one.heart else lines


def _advice_lines(cell: Advice) -> list[str]:
    if cell.take is None:
        return [f"{cell.ref}: {HOLD_OR_SKIP} {cell.reason}"]
    lines = [f"{cell.ref}: {take_words(cell.take)}. {cell.effort}. {cell.reason}"]
    if cell.harder:
        lines.append(f"    or {take_words(cell.harder)}, if: {cell.harder.entry_test}")
    return lines


def take_words(take: Take) -> str:
    """'Split squat (easier), 6 a side, 10 lb'."""
    kind = f" ({take.kind})" if take.kind else ""
    return ", ".join(part for part in (f"{take.rung}{kind}", take.dose, take.load) if part)
