"""What a rung asks of one body: joint moments, muscles, supports, trunk, balance and power, computed from its pose."""

import argparse
import json
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from everyrung.checks.difficulty import Measure, SetDemand, measures, words
from everyrung.checks.focus import computed_focus
from everyrung.cli.arg_types import body_mass, piece, stature
from everyrung.terms.demand import RungDemand, SelfCheckResult
from everyrung.terms.move import Rung

if TYPE_CHECKING:
    from everyrung.body.mechanics import Job


EPILOG = (
    "A model of an ordinary body, not of a person: strengths differ by a fifth between people of one size. "
    "A planning aid, not medical advice. Exit 1: this body can't do the rung as described."
)
USUAL_BMI = 23.0  # chosen, because it is the middle of what the WHO calls normal


def arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `body`."""
    parser.add_argument("move", metavar="MOVE", help="a move of the library, as `everyrung moves` lists them")
    parser.add_argument("rung", metavar="RUNG", nargs="?", default="base", help="one of its rungs (default: base)")
    parser.add_argument("--sex", choices=("female", "male"), default="female", help="whose tables (default: female)")
    parser.add_argument("--stature", type=stature, metavar="LENGTH", default=1.65, help='such as 165cm or "5 ft 5 in"')
    parser.add_argument("--mass", type=body_mass, metavar="MASS", help="such as 62kg (default: usual for the stature)")
    parser.add_argument("--load", type=piece, metavar="MASS", help="each piece that the rung holds, such as 10lb")
    parser.add_argument("--compare", metavar="RUNG", help="another rung of the move, set beside it")
    parser.add_argument("--figure", type=Path, metavar="SVG", help="draw a repetition there")
    parser.add_argument("--json", action="store_true", help="print the result as JSON")


def run(args: argparse.Namespace) -> int:
    """Prints the demand of one rung, or of two side by side."""
    from everyrung.body.mechanics import demands, in_job_order
    from everyrung.cli import CLEAN, FINDINGS
    from everyrung.moves.library import standard_library
    from everyrung.store.cache import default_cache

    library = standard_library()
    rungs = [library.rung(args.move, name) for name in (args.rung, args.compare) if name]
    jobs = [_job(rung, args) for rung in rungs]
    rung_demands = in_job_order(demands(jobs, default_cache()))
    if args.figure:
        _write_figure(rungs[0], jobs[0], args.figure)
    if args.json:
        from everyrung.results.body_demand import demand_values

        values = [demand_values(rung, one) for rung, one in zip(rungs, rung_demands, strict=True)]
        content = values[0] if len(rung_demands) == 1 else {"rungs": values, "measures": compared_values(*rung_demands)}
        print(json.dumps(content, indent=2, ensure_ascii=False))
    elif len(rung_demands) == 1:
        print("\n".join(demand_lines(rungs[0], rung_demands[0])))
    else:
        print("\n".join(compared_lines(rungs, rung_demands)))
    return CLEAN if all(one.feasible for one in rung_demands) else FINDINGS


def _job(rung: "Rung", args: argparse.Namespace) -> "Job":
    from everyrung.body.mechanics import Job
    from everyrung.moves.library import standard_library
    from everyrung.terms.errors import Invalid
    from everyrung.terms.person import BodySize, Sex
    from everyrung.terms.units import Load

    kg = args.mass or round(USUAL_BMI * args.stature**2, 1)
    size = BodySize(sex=Sex(args.sex), stature_m=args.stature, mass_kg=kg)
    pieces = rung.form.load.pieces
    if args.load and not pieces and not args.compare:
        remedy = "Leave it out, or choose a rung with a load."
        raise Invalid("--load", f"no load, for {rung.address} holds none", str(args.load), remedy=remedy)
    load = Load(pieces=(args.load,) * pieces) if args.load and pieces else None
    return Job(form=rung.form, layer=standard_library().pose(rung.form), size=size, load=load)


def _write_figure(rung: "Rung", job: "Job", path: Path) -> None:
    from everyrung.body.mechanics import drawings, in_job_order
    from everyrung.publish.figure.rung import rep_svg
    from everyrung.store.files import replace_text

    replace_text(path, rep_svg(rung, in_job_order(drawings([job]))[0]))


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
        *_published_energy(rung),
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


def _published_energy(rung: Rung) -> list[str]:
    """Where the power comes from in a move that is too quick for poses alone."""
    from everyrung.body.energy import activity
    from everyrung.moves.library import standard_library

    name = standard_library().pose(rung.form).energy
    if not name:
        return []
    return [
        f"    at least that of {activity(name)} (ainsworth2011, herrmann2024): the move is too quick for poses alone,",
        "    and what a landing asks of joints is not in these tables",
    ]


def power_band(one: RungDemand) -> str:
    """The power as a band, with what makes it so wide."""
    from everyrung.body.energy import error, reason

    less, more = error()
    return f"{one.above_rest_w * (1 - less):.0f} to {one.above_rest_w * (1 + more):.0f} W; unsure: {reason()}"


def one_check(check: SelfCheckResult) -> str:
    verdict = "met" if check.met else "NOT MET"
    return f"{check.say} {check.measured}, {check.limit}: {verdict}"


def _doubts(one: RungDemand) -> list[str]:
    """What does not fit, what cannot be held, and what rests on memory."""
    lines = [f"  self-check: {one_check(each)}" for each in one.self_checks]
    lines += [f"  not as described: {misfit}" for misfit in one.misfits]
    lines += [f"  CAN'T BE HELD as described: {short}" for short in one.shortfalls]
    if not one.has_converged:
        lines.append("  the pose was not found within the limit of steps: its tasks contradict each other")
    if any(each.motion in one.from_memory and each.fraction >= LEAST for each in one.motions):
        lines.append(f"  {MARK} strength from memory, no table seen; what else is: docs/accuracy-memory.md")
    return ["", *lines] if lines else []


def compared_lines(rungs: Sequence[Rung], pair: Sequence[RungDemand]) -> list[str]:
    """Two rungs side by side, repetition for repetition, and what makes the second harder or easier."""
    lines = [f"{rungs[0].name}  ->  {rungs[1].name}", f"{pair[0].size}; one repetition each", ""]
    for measure in _measures(*pair):
        verdict = "harder" if measure.harder else "easier" if measure.easier else "the same within the error"
        lines.append(f"  {measure}: {verdict}")
    for rung, one in zip(rungs, pair, strict=True):
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
    one, other = (SetDemand(demand=each, reps=1, lasting_s=each.rep_ms / 1000) for each in (before, after))
    return measures(one, other)
