"""Time a plan and say what is wrong with it: sums by kind of time, and every finding with its remedy."""

import argparse
from pathlib import Path

from everyrung.cli.arg_types import add_own_cues, add_room, library, minutes, room_options
from everyrung.cli.words import body_lines, finding_lines, refit_lines, summary_lines

EPILOG = "Exit 0: nothing that forbids leading it. 1: findings of severity error. 2: the plan can't be read."


def arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `check`."""
    parser.add_argument("plan", type=Path, metavar="PLAN", help="a plan file (TOML)")
    parser.add_argument("--explain", action="store_true", help="list each default that was taken, and why")
    parser.add_argument("--minutes", type=minutes, metavar="N", help="fit it to N minutes first, by its cut order")
    parser.add_argument("--all", action="store_true", help="every finding, not only the gravest seven kinds")
    parser.add_argument("--bodies", action="store_true", help="compute each round on 12 reference bodies as well")
    add_own_cues(parser)
    add_room(parser)
    parser.add_argument("--json", action="store_true", help="print the result as JSON")


def run(args: argparse.Namespace) -> int:
    """Prints the result of one check."""
    from everyrung.cli import CLEAN, FINDINGS
    from everyrung.cli.progress import options
    from everyrung.pipeline import run as run_plan

    analysis = run_plan(args.plan, args.minutes, library(args), options(bodies=args.bodies, **room_options(args)))
    if args.json:
        import json  # only when asked for

        print(json.dumps(analysis.to_dict(explain=args.explain), indent=2, ensure_ascii=False))
    else:
        print("\n".join(summary_lines(analysis)))
        if analysis.refit:
            print("\n".join(refit_lines(analysis.refit)))
        print("\n".join(body_lines(analysis)), end="\n" if analysis.mechanics else "")
        print("\n".join(finding_lines(analysis.findings, every=args.all)), end="\n" if analysis.findings else "")
        if args.explain:
            print("\nDefaults taken:")
            for default in analysis.session.defaults:
                print(f"  {default.where}: {default.field} = {default.value} ({default.why})")
    fits = analysis.refit is None or not analysis.refit.problem
    return CLEAN if analysis.clean and fits else FINDINGS
