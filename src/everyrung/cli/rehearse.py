"""Rehearse a plan before a simulated audience: who finishes which rung, what stops them, which load each takes."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from everyrung.cli.arg_types import add_cluster, count, minutes, seed
from everyrung.cli.words import finding_lines
from everyrung.effort.uncertainty import how_good, unsure_limiters
from everyrung.effort.words import effort_range, kind_words
from everyrung.results.analysis import Analysis
from everyrung.terms.forecast import (
    HOLD_OR_SKIP,
    LEAST_MOVED,
    USUAL_PEOPLE,
    Advice,
    CellForecast,
    Forecast,
    PersonAdvice,
    RungForecast,
    Take,
)

if TYPE_CHECKING:
    from everyrung.pipeline import AudienceSpec


EPILOG = (
    "A model of many people, not of one: in brackets stands where a share lies four times in five, as far as the "
    "model knows its own error, and under a set what other assumptions would change. Not in it: breathlessness, pain, "
    "motivation, heat, how one feels the next day. A planning aid, not medical advice. "
    "Exit 1: findings of severity error."
)


def arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `rehearse`."""
    parser.add_argument("plan", type=Path, metavar="PLAN", help="a plan file (TOML)")
    usual = f"simulated people (default: {USUAL_PEOPLE})"
    parser.add_argument("--audience", type=count, default=USUAL_PEOPLE, metavar="N", help=usual)
    parser.add_argument("--mix", default="boathouse", metavar="NAME", help="who comes, or a .toml (default: boathouse)")
    parser.add_argument(
        "--people", type=Path, metavar="FILE", help="people who are known (.toml or .csv): advice for each"
    )
    parser.add_argument("--in-room", action="store_true", help="the known people use the room's kit, not their own")
    parser.add_argument(
        "--seed", type=seed, default=1, metavar="N", help="another number draws different people (default: 1)"
    )
    parser.add_argument("--minutes", type=minutes, metavar="N", help="fit it to N minutes first, by its cut order")
    parser.add_argument("--brief", action="store_true", help="one line for each set")
    parser.add_argument("--json", action="store_true", help="print the result as JSON")
    add_cluster(parser)


def run(args: argparse.Namespace) -> int:
    """Prints the forecast, the advice for known people and all findings."""
    from everyrung.cli import CLEAN, FINDINGS
    from everyrung.cli.progress import options
    from everyrung.pipeline import run as run_plan

    analysis = run_plan(args.plan, minutes=args.minutes, options=options(audience=_audience_spec(args)))
    if args.json:
        from everyrung.results.rehearsal import Rehearsal

        print(Rehearsal(analysis=analysis).to_json())
    else:
        print("\n".join(forecast_lines(analysis, brief=args.brief)))
        for one in analysis.advice:
            print("\n".join(["", *advice_lines(one)]))
        print("\n".join(finding_lines(analysis.findings, every=True)), end="\n" if analysis.findings else "")
    return CLEAN if analysis.clean else FINDINGS


def _audience_spec(args: argparse.Namespace) -> "AudienceSpec":
    from everyrung.people.read import read_people
    from everyrung.pipeline import AudienceSpec

    people = read_people(args.people) if args.people else ()
    return AudienceSpec(mix=args.mix, count=args.audience, seed=args.seed, people=people, in_room=args.in_room)


MARK = "*"
WIDTH = 50  # of the column of rungs


def forecast_lines(run: Analysis, *, brief: bool = False) -> list[str]:
    """The whole session first, then cell by cell; `brief` has one line a cell."""
    forecast = run.forecast
    if forecast is None:
        return [run.session.title]
    lines = [run.session.title, *_whole_lines(forecast)]
    for cell in forecast.cells:
        lines += [_brief_line(cell)] if brief else ["", *_cell_lines(cell)]
    return lines


def _brief_line(cell: CellForecast) -> str:
    led_rung = cell.led_rung
    strong = f"{led_rung.finishing!s:>17} strong enough as led, " if led_rung else ""
    return f"  {cell.ref!s:<28} {strong}{cell.some_rung!s:>17} finish a rung that their kit and limits allow"


def _whole_lines(forecast: Forecast) -> list[str]:
    worst = forecast.worst
    lines = [
        f"Rehearsed before {forecast.people:,} people: {forecast.mix} (seed {forecast.seed}).",
        "  In brackets: four times in five it lies between these, as far as the model knows its own error.",
        f"  {how_good()}",
        f"  {MARK} its strength is from memory, so something else could give out first.",
        f"  {forecast.whole} can finish every set with some rung.",
    ]
    if worst:
        lines.append(f"  Hardest to finish: {worst.ref}, {worst.some_rung}.")
    if forecast.sore.of:
        lines.append(f"  First-timers at risk of days of soreness: {forecast.sore} of {forecast.sore.of:,}.")
    if forecast.rating:
        load = f"times {forecast.minutes:.0f} minutes: session load {forecast.session_load:.0f}"
        lines.append(f"  How hard the session feels, 0 to 10: {forecast.rating}; {load}.")
    lines += [f"  Mean heart rate in the main part: {forecast.heart}", f"  Energy: {forecast.energy}"]
    if forecast.on_medicine.count:
        count = forecast.on_medicine.count
        lines.append(f"  Heart rate leaves out {count:,} people on medicine that slows the heart.")
    lines += [f"  Not computed: {ref}: {why}" for ref, why in forecast.failed.items()]
    return lines


def _cell_lines(cell: CellForecast) -> list[str]:
    lines = [
        f"{cell.ref}: {cell.some_rung} can finish some rung, {cell.skipping} hold or skip",
        f"  {'rung':<{WIDTH}} {'finish':>17}  {'stopped by 10/50/90%':<20} {'advised':>17}  usual effort",
        *(_rung_line(rung) for rung in cell.rungs),
    ]
    if cell.rating:
        lines.append(f"  how hard it feels, 0 to 10: {cell.rating}")
    led_rung = cell.led_rung
    if led_rung and led_rung.limiting:
        stops = ", ".join(
            f"{name}{MARK if name in unsure_limiters() else ''} {share}" for name, share in led_rung.limiting[:2]
        )
        lines.append(f"  as led, what gives out first: {stops}")
    what_if = [
        f"{name} {some:+.0f} (as led {one:+.0f})"
        for name, (some, one) in cell.moved.items()
        if max(abs(some), abs(one)) >= LEAST_MOVED
    ]
    if what_if:
        lines.append(f"  how many more or fewer in 100 finish, if: {'; '.join(what_if)}")
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
    counts = [
        f">{rung.most:g}" if value >= rung.most else f"{value + (rung.unit == 'reps'):.0f}"
        for value in (rung.possible.p10, rung.possible.p50, rung.possible.p90)
    ]
    return f"{' / '.join(counts)} {'rep' if rung.unit == 'reps' else 's'}"


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
