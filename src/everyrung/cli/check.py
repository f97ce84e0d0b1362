"""Time a plan and say what is wrong with it: sums by kind of time, and every finding with its remedy."""

import argparse
from pathlib import Path

from everyrung.cli.arg_types import add_own_cues, library, minutes
from everyrung.cli.words import body_lines, refit_lines, summary_lines

EPILOG = "Exit 0: nothing that forbids leading it. 1: findings of severity error. 2: the plan can't be read."


def arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `check`."""
    parser.add_argument("plan", type=Path, metavar="PLAN", help="a plan file (TOML)")
    parser.add_argument("--explain", action="store_true", help="list each default that was taken, and why")
    parser.add_argument("--minutes", type=minutes, metavar="N", help="fit it to N minutes first, by its cut order")
    parser.add_argument("--bodies", action="store_true", help="compute each round on 12 reference bodies as well")
    add_own_cues(parser)
    parser.add_argument("--json", action="store_true", help="print the result as JSON")


def run(parsed: argparse.Namespace) -> int:
    """Prints the result of one check."""
    from everyrung.cli import CLEAN, FINDINGS
    from everyrung.cli.progress import options
    from everyrung.pipeline import run as run_plan

    done = run_plan(parsed.plan, parsed.minutes, library(parsed), options(bodies=parsed.bodies))
    if parsed.json:
        import json  # only when asked for

        print(json.dumps(done.to_dict(explain=parsed.explain), indent=2, ensure_ascii=False))
    else:
        print("\n".join(summary_lines(done)))
        if done.refit:
            print("\n".join(refit_lines(done.refit)))
        print("\n".join(body_lines(done)), end="\n" if done.mechanics else "")
        for finding in done.findings:
            print(f"\n{finding}")
        if parsed.explain:
            print("\nDefaults taken:")
            for default in done.session.defaults:
                print(f"  {default.where}: {default.field} = {default.value} ({default.why})")
    fits = done.refit is None or not done.refit.problem
    return CLEAN if done.clean and fits else FINDINGS
