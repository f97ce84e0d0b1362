"""Write the run sheet of a plan: HTML, PDF and the score, ready for another coach to lead from."""

import argparse
import sys
from pathlib import Path

from everyrung.cli.arg_types import add_cluster, add_own_cues, add_room, library, minutes, room_options

EPILOG = "The sheet is written even when there are findings: they stand on it. Exit 1 says that some forbid leading it."


def arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `sheet`."""
    parser.add_argument("plan", type=Path, metavar="PLAN", help="a plan file (TOML)")
    parser.add_argument("--out", type=Path, metavar="DIR", help="folder to write to (default: in EVERYRUNG_HOME)")
    parser.add_argument("--bodies", action="store_true", help="compute each round on 12 reference bodies as well")
    parser.add_argument("--minutes", type=minutes, metavar="N", help="fit it to N minutes first, by its cut order")
    add_own_cues(parser)
    add_room(parser)
    add_cluster(parser)


def run(args: argparse.Namespace) -> int:
    """Writes the files and prints their paths."""
    from everyrung.cli import CLEAN, FINDINGS
    from everyrung.cli.progress import options
    from everyrung.cli.words import refit_lines
    from everyrung.pipeline import run as run_plan
    from everyrung.publish.sheet.write import sheet_paths, write_sheet
    from everyrung.store.paths import home

    print(f"checking {args.plan} ...", file=sys.stderr)
    analysis = run_plan(
        args.plan, args.minutes, library(args), options(bodies=args.bodies, drawings=True, **room_options(args))
    )
    if analysis.refit:
        print("\n".join(refit_lines(analysis.refit)), file=sys.stderr)
    folder = args.out or home() / "sheets"
    there = [path for path in sheet_paths(analysis, folder) if path.exists()]
    print("writing the run sheet ...", file=sys.stderr)
    paths = write_sheet(analysis, folder)
    for path in there:
        print(f"replaced {path}", file=sys.stderr)
    for path in paths:
        print(path)
    fits = analysis.refit is None or not analysis.refit.problem
    return CLEAN if analysis.clean and fits else FINDINGS
