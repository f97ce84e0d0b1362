"""Mend a plan: every error and warning that a tried change can end, and what stands in the way of the others."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from everyrung.cli.arg_types import add_own_cues, add_room, library

if TYPE_CHECKING:
    from collections.abc import Mapping

    from everyrung.compose.mend_all import Mending
    from everyrung.moves.library import Library

EPILOG = """\
Nothing is written without --out. What has `lock = true` in the plan stays as it is.
Exit 0: no error and no warning is left. 1: some are. 2: the plan can't be read."""


def arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `mend`."""
    parser.add_argument("plan", type=Path, metavar="PLAN", help="a plan file (TOML)")
    parser.add_argument("--out", type=Path, metavar="FILE", help="write the plan as it is then; PLAN itself is allowed")
    add_own_cues(parser)
    add_room(parser)


def run(args: argparse.Namespace) -> int:
    """Prints the steps and what is left; writes the file."""
    from everyrung.cli import CLEAN, FINDINGS
    from everyrung.compose.press import mend
    from everyrung.store.files import replace_text

    moves = library(args)
    mending = mend(args.plan, library=moves, wall_people=_wall_people(args, moves))
    print("\n".join(_lines(mending)))
    if args.out:
        replace_text(args.out, mending.text)
        print(f"Written to {args.out}.")
    return FINDINGS if mending.left else CLEAN


def _wall_people(args: argparse.Namespace, moves: "Library") -> "Mapping[str, int]":
    """By a rung's address, how many the walls of the room hold; of no room that was not named. Raises Faults."""
    if not args.room:
        return {}
    from everyrung.interface import place

    return place(args.plan, args.room, people=args.room_people, library=moves).wall_people


def _lines(mending: "Mending") -> list[str]:
    from everyrung.compose.changes import what_differs

    if not mending.steps:
        lines = ["Nothing was changed."]
    else:
        lines = [*(f"  {each.words}" for each in mending.steps), *what_differs(mending.before, mending.after)]
    for each in mending.left:
        finding = each.finding
        lines.append(f"{finding.severity} {finding.rule} at {finding.place} stays: {finding.measured}; {each.why}.")
    return lines
