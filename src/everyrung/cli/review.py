"""Look back: lay a stage log, a recording or a transcript on its plan, and say what was led otherwise."""

import argparse
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from everyrung.cli.arg_types import minutes, moment, zone
from everyrung.terms.errors import Faults, Invalid, Where, fault_at

if TYPE_CHECKING:
    from everyrung.lookback.plan_sets import PlanSet
    from everyrung.lookback.show import Show
    from everyrung.moves.library import Library
    from everyrung.results.analysis import Analysis

EPILOG = (
    "LOG: what the stage wrote, from the studio: Lead, Led before, JSON. FILE: WebVTT or SubRip captions (automatic "
    "ones too), JSON of words with their start in seconds, or text with marks such as [1:05]. All is read here and "
    "sent nowhere. How often this is right: docs/looking-back.md. "
    "Exit 0: laid on the plan, whatever was found."
)


def arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `review`."""
    parser.add_argument("plan", type=Path, metavar="PLAN", help="the plan file that was led (TOML)")
    parser.add_argument("--log", type=Path, metavar="LOG", help="the stage's own log of the show (JSON)")
    parser.add_argument(
        "--video", type=Path, metavar="FILE", help="a film or sound of the room, with the stage's beeps in it"
    )
    parser.add_argument("--transcript", type=Path, metavar="FILE", help="what was said, with times")
    parser.add_argument(
        "--heart", type=Path, metavar="FILE", nargs="+", help="heart rates: FIT, TCX, GPX, one a person"
    )
    parser.add_argument("--began", type=moment, metavar="TIME", help="when it began: 2026-03-19T18:30+02:00")
    parser.add_argument("--zone", type=zone, metavar="ZONE", help="of heart-rate times without one: Europe/Helsinki")
    parser.add_argument(
        "--medicine", action="store_true", help="their medicine limits the heart rate: no rate is shown"
    )
    parser.add_argument("--minutes", type=minutes, metavar="N", help="fit the plan to N minutes first, as it was led")
    parser.add_argument("--edits", action="store_true", help="what the transcript says of the next plan, each tried")
    parser.add_argument("--all", action="store_true", help="every note, not the ten gravest")
    parser.add_argument("--json", action="store_true", help="the same facts as JSON")


def run(args: argparse.Namespace) -> int:
    """Prints plan against log and transcript."""
    import json

    from everyrung.cli import CLEAN
    from everyrung.lookback.plan_sets import plan_sets
    from everyrung.moves.library import standard_library
    from everyrung.pipeline import Options
    from everyrung.pipeline import run as run_plan

    if not (args.log or args.video or args.transcript or args.heart):
        raise Invalid("review", "--log LOG, --video FILE, --transcript FILE or --heart FILE", "none of them")
    moves = standard_library()
    options = Options(branches=args.log is not None)
    analysis = run_plan(args.plan, minutes=args.minutes, library=moves, options=options)
    sets = plan_sets(analysis.session, analysis.timeline)
    values: dict[str, object] = {}
    lines = [f"{analysis.session.title}: {len(sets)} sets in the plan"]
    for part, more in _parts(args, sets, analysis, moves):
        values |= part
        lines += ["", *more]
    print(json.dumps(values, indent=2, ensure_ascii=False) if args.json else "\n".join(lines))
    return CLEAN


def _parts(
    args: argparse.Namespace, sets: Sequence["PlanSet"], analysis: "Analysis", moves: "Library"
) -> Iterator[tuple[dict[str, object], Iterable[str]]]:
    """What each file that was named comes to, as values and in lines."""
    show = recording = None
    if args.log:
        from everyrung.lookback.show_report import show_lines, show_values

        show = _show(args.log, sets, analysis)
        yield {"log": show_values(show)}, [args.log.name, *show_lines(show)]
    if args.video:
        from everyrung.lookback.recording_report import lay_recording_on_plan, recording_lines, recording_values

        recording = lay_recording_on_plan(args.video, analysis, sets, show)
        yield {"recording": recording_values(recording)}, [args.video.name, *recording_lines(recording)]
    if args.transcript:
        from everyrung.lookback.outcome import lay_on_plan
        from everyrung.lookback.read import read_transcript
        from everyrung.lookback.report import report_lines, report_values

        outcome = lay_on_plan(read_transcript(args.transcript), sets, moves)
        yield report_values(outcome), [args.transcript.name, *report_lines(outcome, every=args.all)]
        if args.edits:
            from everyrung.compose.case import PlanRun
            from everyrung.lookback.next_edits import edit_lines, edit_values, next_edits
            from everyrung.parsing.document import read_text
            from everyrung.pipeline import run_plan

            start = PlanRun(run=analysis, library=moves)
            edits = next_edits(outcome, read_text(args.plan), start, lambda plan: run_plan(plan, args.minutes, moves))
            yield {"edits": edit_values(edits)}, edit_lines(edits)
        if recording:
            from everyrung.lookback.recording_report import agreement_lines

            lines = list(agreement_lines(recording, outcome))
            yield {"disagreements": lines}, lines
    if args.heart:
        from everyrung.lookback.heart_file import read_heart
        from everyrung.lookback.heart_on_plan import lay_heart
        from everyrung.lookback.heart_report import heart_lines, heart_values

        hearts = [lay_heart(read_heart(path, args.zone), sets, analysis.timeline, args.began) for path in args.heart]
        lines = [
            line for each in hearts for line in (each.file.name, *heart_lines(each, on_medicine=args.medicine), "")
        ]
        yield {"heart": [heart_values(each, on_medicine=args.medicine) for each in hearts]}, lines


def _show(path: Path, sets: Sequence["PlanSet"], analysis: "Analysis") -> "Show":
    from everyrung.lookback.show import lay_log_on_plan
    from everyrung.lookback.stage_log import read_stage_log
    from everyrung.runsheet.build import ways

    try:
        return lay_log_on_plan(read_stage_log(path), sets, ways(analysis))
    except Invalid as problem:
        raise Faults([fault_at(Where(file=path.name, line=0, field=problem.field), problem)]) from None
