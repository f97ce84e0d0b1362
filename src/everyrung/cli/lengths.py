"""Write a plan in shorter lengths: each a true part of the longer one, its sets unchanged and in their order."""

import argparse
from pathlib import Path

from everyrung.cli.arg_types import add_own_cues, library, minutes

EPILOG = """\
everyrung lengths evening.toml --minutes 45 30 20 --out lengths
Exit 0: every length was found. 1: some were not, and why is said. 2: the plan can't be read."""


def arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `lengths`."""
    parser.add_argument("plan", type=Path, metavar="PLAN", help="a plan file (TOML), the longest of them")
    parser.add_argument("--minutes", type=minutes, nargs="+", default=[], metavar="N", help="the lengths (45, 30, 20)")
    parser.add_argument("--out", type=Path, metavar="FOLDER", help="write each as a plan file into this folder")
    add_own_cues(parser)


def run(args: argparse.Namespace) -> int:
    """Prints each length with what differs; writes the files."""
    from everyrung.cli import CLEAN, FINDINGS
    from everyrung.compose.press import lengths
    from everyrung.store.files import replace_text

    result = lengths(args.plan, *args.minutes, library=library(args))
    for each in result.offers:
        print("\n   ".join([each.words, *(f"with it: {words}" for words in each.also), *each.notes]))
        if args.out:
            args.out.mkdir(parents=True, exist_ok=True)
            path = args.out / f"{args.plan.stem}-{each.run.session.slot_ms // 60_000}.toml"
            replace_text(path, each.text)
            print(f"   written to {path}")
    for why in result.stays:
        print(f"Can't be done: {why}.")
    return FINDINGS if result.stays else CLEAN
