"""Draft a plan file from a transcript alone: moves, rounds, doses, kit, each with how sure it is."""

import argparse
from pathlib import Path

EPILOG = (
    "FILE: captions or text with times, as `everyrung review` reads them. It is read here and sent nowhere. What comes "
    "out is a draft, to read beside the recording: ? marks what is unsure, and docs/looking-back.md says how often "
    "each part is right. Exit 0: drafted."
)


def arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `draft`."""
    parser.add_argument("transcript", type=Path, metavar="FILE", help="what was said, with times")
    parser.add_argument("--write", type=Path, metavar="PLAN", help="write the plan file here; else it is printed")
    parser.add_argument("--json", action="store_true", help="the plan's text and every set as it was heard, as JSON")


def run(args: argparse.Namespace) -> int:
    """Prints or writes the draft; never over a file that is there."""
    import json

    from everyrung.cli import CLEAN
    from everyrung.lookback.drafted_plan import plan_heard, plan_text, plan_values
    from everyrung.lookback.read import read_transcript
    from everyrung.moves.library import standard_library
    from everyrung.terms.errors import Invalid

    draft = plan_heard(read_transcript(args.transcript), standard_library())
    if args.json:
        print(json.dumps(plan_values(draft), indent=2, ensure_ascii=False))
    if args.write:
        try:
            with args.write.open("x", encoding="utf-8") as file:
                file.write(plan_text(draft))
        except FileExistsError:
            remedy = "Give another name, or move the file away."
            raise Invalid("--write", "a file that is not there yet", args.write, remedy=remedy) from None
        print(f"{args.write}: {len(draft.cells)} sets drafted. Next: everyrung check {args.write}")
    elif not args.json:
        print(plan_text(draft), end="")
    return CLEAN
