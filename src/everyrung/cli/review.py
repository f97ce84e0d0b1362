"""Look back: lay a transcript of a session on its plan, and say what was led otherwise."""

import argparse
from pathlib import Path

from everyrung.cli.arg_types import minutes

EPILOG = (
    "FILE: WebVTT or SubRip captions (automatic ones too), JSON of words with their start in seconds, or text with "
    "marks such as [1:05]. It is read here and sent nowhere. How often this is right: docs/looking-back.md. "
    "Exit 0: laid on the plan, whatever was found."
)


def arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `review`."""
    parser.add_argument("plan", type=Path, metavar="PLAN", help="the plan file that was led (TOML)")
    parser.add_argument("--transcript", type=Path, metavar="FILE", required=True, help="what was said, with times")
    parser.add_argument("--minutes", type=minutes, metavar="N", help="fit the plan to N minutes first, as it was led")
    parser.add_argument("--all", action="store_true", help="every note, not the ten gravest")
    parser.add_argument("--json", action="store_true", help="the same facts as JSON")


def run(args: argparse.Namespace) -> int:
    """Prints plan against transcript."""
    import json

    from everyrung.cli import CLEAN
    from everyrung.lookback.outcome import lay_on_plan
    from everyrung.lookback.plan_sets import plan_sets
    from everyrung.lookback.read import read_transcript
    from everyrung.lookback.report import report_lines, report_values
    from everyrung.moves.library import standard_library
    from everyrung.pipeline import run as run_plan

    moves = standard_library()
    analysis = run_plan(args.plan, minutes=args.minutes, library=moves)
    sets = plan_sets(analysis.session, analysis.timeline)
    outcome = lay_on_plan(read_transcript(args.transcript), sets, moves)
    if args.json:
        print(json.dumps(report_values(outcome), indent=2, ensure_ascii=False))
        return CLEAN
    print(f"{analysis.session.title}: {len(sets)} sets in the plan, {args.transcript.name}")
    print("\n".join(report_lines(outcome, every=args.all)))
    return CLEAN
