"""Rehearse a plan before a simulated audience: who finishes which rung, what stops them, which load each takes."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from everyrung.cli.arg_types import count, minutes, seed
from everyrung.terms.forecast import USUAL_PEOPLE

if TYPE_CHECKING:
    from everyrung.pipeline import AudienceSpec

EPILOG = (
    "A model of many people, not of one: in brackets stands where a share lies in four of five cases, as far as the "
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
        "--seed", type=seed, default=1, metavar="N", help="another number draws other people (default: 1)"
    )
    parser.add_argument("--minutes", type=minutes, metavar="N", help="fit it to N minutes first, by its cut order")
    parser.add_argument("--brief", action="store_true", help="one line for each set")
    parser.add_argument("--json", action="store_true", help="print the result as JSON")


def run(parsed: argparse.Namespace) -> int:
    """Prints the forecast, the advice for known people and all findings."""
    from everyrung.cli import CLEAN, FINDINGS
    from everyrung.cli.progress import options
    from everyrung.cli.rehearse_words import advice_lines, forecast_lines
    from everyrung.pipeline import run as run_plan

    done = run_plan(parsed.plan, minutes=parsed.minutes, options=options(audience=_expected(parsed)))
    if parsed.json:
        from everyrung.results.rehearsal import Rehearsal

        print(Rehearsal(analysis=done).to_json())
    else:
        print("\n".join(forecast_lines(done, brief=parsed.brief)))
        for one in done.advice:
            print("\n".join(["", *advice_lines(one)]))
        for finding in done.findings:
            print(f"\n{finding}")
    return CLEAN if done.clean else FINDINGS


def _expected(parsed: argparse.Namespace) -> "AudienceSpec":
    from everyrung.people.read import read_people
    from everyrung.pipeline import AudienceSpec

    people = read_people(parsed.people) if parsed.people else ()
    return AudienceSpec(mix=parsed.mix, count=parsed.audience, seed=parsed.seed, people=people, in_room=parsed.in_room)
