"""The lines and values that `body` prints about one rung's demand, or about two."""

from collections.abc import Sequence
from typing import Any

from everyrung.checks.difficulty import Dosed, Measure, measures, words
from everyrung.checks.focus import computed_focus
from everyrung.terms.demand import RungDemand, SelfCheckResult
from everyrung.terms.move import Rung

Values = dict[str, Any]
LEAST = 0.05  # of a strength or an activation; chosen, because smaller rows only lengthen the table
MARK = "*"


def demand_lines(rung: Rung, one: RungDemand) -> list[str]:
    """One rung's tables."""
    return [
        *_head(rung, one),
        "",
        f"  {'joint moment':<30}{'N m':>7}{'of strength':>13}{'in the mean':>13}",
        *(
            f"  {words(each.motion) + (MARK if each.motion in one.from_memory else ''):<30}{each.moment_nm:>7.0f}"
            f"{each.fraction:>13.0%}{each.mean_fraction:>13.0%}"
            for each in sorted(one.motions, key=lambda each: -each.fraction)
            if each.fraction >= LEAST
        ),
        "",
        f"  {'muscle group':<30}{'at most':>7}{'in the mean':>13}",
        *(
            f"  {words(each.group):<30}{each.peak:>7.0%}{each.mean:>13.0%}"
            for each in sorted(one.groups, key=lambda each: -each.peak)
            if each.peak >= LEAST
        ),
        "",
        f"  {'support':<30}{'at rest':>7}{'full depth':>13}",
        *(f"  {each.contact:<30}{_newtons(each.rest_n):>7}{_newtons(each.full_n):>13}" for each in one.bearings),
        "",
        *_sums(one),
        f"  works most: {', '.join(computed_focus([one])) or 'nothing'}",
        *_doubts(one),
    ]


def _head(rung: Rung, one: RungDemand) -> list[str]:
    load = f", holding {one.load_kg:.1f} kg" if one.load_kg else ""
    repetition = "held" if rung.form.tempo.is_hold else f"a repetition of {one.rep_ms / 1000:g} s"
    return [f"{rung.name} ({rung.address})", f"{one.size}{load}; {repetition}"]


def _newtons(force: float | None) -> str:
    return "-" if force is None else f"{force:.0f} N"


def _sums(one: RungDemand) -> list[str]:
    balance = "lying or held" if one.balance_m is None else f"{one.balance_m * 1000:.0f} mm"
    return [
        f"  trunk moment, lowest lumbar joint: {one.trunk_nm:.0f} N m at most",
        f"  balance margin, moving: {balance} at least",
        f"  work lifted: {one.work_j:.0f} J a repetition",
        f"  metabolic power above rest: {power_band(one)}",
    ]


def power_band(one: RungDemand) -> str:
    """The power as a band: the model's error is stated in docs/accuracy-body.md."""
    from everyrung.body.energy import error

    less, more = error()
    return f"{one.above_rest_w * (1 - less):.0f} to {one.above_rest_w * (1 + more):.0f} W"


def one_check(check: SelfCheckResult) -> str:
    verdict = "met" if check.met else "NOT MET"
    return f"{check.say} {check.measured}, {check.limit}: {verdict}"


def _doubts(one: RungDemand) -> list[str]:
    """What does not fit, what cannot be held, and what rests on memory."""
    found = [f"  self-check: {one_check(each)}" for each in one.self_checks]
    found += [f"  not as described: {misfit}" for misfit in one.misfits]
    found += [f"  CAN'T BE HELD as described: {short}" for short in one.shortfalls]
    if not one.settled:
        found.append("  the pose was not found within the limit of steps: its tasks contradict each other")
    if any(each.motion in one.from_memory and each.fraction >= LEAST for each in one.motions):
        found.append(f"  {MARK} strength from memory, no table seen; all joint ranges are from memory too")
    return ["", *found] if found else []


def compared_lines(rungs: Sequence[Rung], found: Sequence[RungDemand]) -> list[str]:
    """Two rungs side by side, repetition for repetition, and what makes the second harder or easier."""
    lines = [f"{rungs[0].name}  ->  {rungs[1].name}", f"{found[0].size}; one repetition each", ""]
    for measure in _measures(*found):
        verdict = "harder" if measure.harder else "easier" if measure.easier else "the same within the error"
        lines.append(f"  {measure}: {verdict}")
    for rung, one in zip(rungs, found, strict=True):
        lines += [f"  {rung.name}:{line.removeprefix(' ')}" for line in _doubts(one) if line]
    return lines


def compared_values(before: RungDemand, after: RungDemand) -> list[Values]:
    return [
        {
            "measure": each.name,
            "unit": each.unit,
            "before": each.before,
            "after": each.after,
            "known_within": each.error,
            "harder": each.harder,
            "easier": each.easier,
        }
        for each in _measures(before, after)
    ]


def _measures(before: RungDemand, after: RungDemand) -> tuple[Measure, ...]:
    one, other = (Dosed(demand=each, reps=1, lasting_s=each.rep_ms / 1000) for each in (before, after))
    return measures(one, other)
