"""Look back: lay a stage log, a recording or a transcript on its plan, and say what was led otherwise."""

import argparse
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

from everyrung.cli.arg_types import minutes, moment, zone
from everyrung.terms.errors import Faults, Invalid, Where, fault_at

if TYPE_CHECKING:
    from everyrung.lookback.review import Review
    from everyrung.lookback.review_values import NextEdit
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
    parser.add_argument(
        "--film", type=Path, metavar="FOLDER", help="for --video: chapters, captions, edit list and stills, into FOLDER"
    )
    parser.add_argument(
        "--overlay",
        choices=("animation", "prores"),
        help="for --film: count, side, versions and next as a film with transparency; prores is large",
    )
    parser.add_argument("--minutes", type=minutes, metavar="N", help="fit the plan to N minutes first, as it was led")
    parser.add_argument("--edits", action="store_true", help="what it says of the next plan, each tried")
    parser.add_argument("--all", action="store_true", help="every note, not the ten gravest")
    parser.add_argument(
        "--report", type=Path, metavar="FILE", help="all of it on one page: a file ending in .html or .pdf"
    )
    parser.add_argument("--json", action="store_true", help="the same facts as JSON")


def run(args: argparse.Namespace) -> int:
    """Prints plan against log and transcript."""
    import json

    from everyrung.cli import CLEAN
    from everyrung.moves.library import standard_library
    from everyrung.pipeline import Options
    from everyrung.pipeline import run as run_plan

    if not (args.log or args.video or args.transcript or args.heart):
        raise Invalid("review", "--log LOG, --video FILE, --transcript FILE or --heart FILE", "none of them")
    if args.film and not args.video:
        raise Invalid("film", "the recording, with --video FILE", "none")
    if args.overlay and not args.film:
        raise Invalid("overlay", "a folder for it, with --film FOLDER", "none")
    moves = standard_library()
    options = Options(branches=args.log is not None, cues=bool(args.film and args.transcript))
    analysis = run_plan(args.plan, minutes=args.minutes, library=moves, options=options)
    review = _review(args, analysis, moves)
    values: dict[str, object] = {}
    lines = [f"{analysis.session.title}: {len(review.sets)} sets in the plan"]
    for part, more in _parts(args, review):
        values |= part
        lines += ["", *more]
    if args.report:
        from everyrung.lookback.review_sheet import write_review
        from everyrung.lookback.review_view import review_view

        write_review(review_view(review), args.report)
        lines += ["", f"Written: {args.report}"]
    print(json.dumps(values, indent=2, ensure_ascii=False) if args.json else "\n".join(lines))
    return CLEAN


def _review(args: argparse.Namespace, analysis: "Analysis", moves: "Library") -> "Review":
    """Each file that was named laid on the plan; the first that can't be ends it."""
    from dataclasses import replace

    from everyrung.lookback.heart_file import read_heart
    from everyrung.lookback.read import read_transcript
    from everyrung.lookback.review import Sources, WornHeart, look_back
    from everyrung.lookback.stage_log import read_stage_log

    sources = Sources(
        log=read_stage_log(args.log) if args.log else None,
        recording=args.video,
        transcript=read_transcript(args.transcript) if args.transcript else None,
        hearts=tuple(
            WornHeart(file=read_heart(path, args.zone), whose=path.stem, on_medicine=args.medicine)
            for path in args.heart or ()
        ),
        began=args.began,
    )

    def refuse(what: str, problem: Invalid | Faults) -> NoReturn:
        if what == "log" and isinstance(problem, Invalid):
            raise Faults([fault_at(Where(file=args.log.name, line=0, field=problem.field), problem)]) from None
        raise problem

    review = look_back(analysis, moves, sources, lambda *_: None, refuse)
    return replace(review, edits=_edits(args, review, moves)) if args.edits else review


def _edits(args: argparse.Namespace, review: "Review", moves: "Library") -> "tuple[NextEdit, ...]":
    from everyrung.compose.case import PlanRun
    from everyrung.lookback.next_edits import next_edits
    from everyrung.parsing.document import read_text
    from everyrung.pipeline import run_plan

    text, start = read_text(args.plan), PlanRun(run=review.analysis, library=moves)
    return next_edits(review.outcome, text, start, lambda plan: run_plan(plan, args.minutes, moves), show=review.show)


def _parts(args: argparse.Namespace, review: "Review") -> Iterator[tuple[dict[str, object], Iterable[str]]]:
    """What each file that was named comes to, as values and in lines."""
    from everyrung.lookback.heart_report import heart_lines, heart_values
    from everyrung.lookback.next_edits import edit_lines, edit_values
    from everyrung.lookback.recording_report import recording_lines, recording_values
    from everyrung.lookback.report import report_lines, report_values
    from everyrung.lookback.show_report import show_lines, show_values

    if review.show:
        yield {"log": show_values(review.show)}, [args.log.name, *show_lines(review.show)]
    if review.recording:
        yield {"recording": recording_values(review.recording)}, [args.video.name, *recording_lines(review.recording)]
    if review.outcome:
        lines = [args.transcript.name, *report_lines(review.outcome, every=args.all)]
        yield report_values(review.outcome), lines
    if args.edits:
        yield {"edits": edit_values(review.edits)}, edit_lines(review.edits)
    if review.recording and review.outcome:
        yield {"disagreements": list(review.disagreements)}, review.disagreements
    if args.film and review.recording:
        from everyrung.lookback.film.material import material
        from everyrung.lookback.film.write import write_film_files

        film = material(args.video, review)
        files = [{"file": name, "what": what} for name, what in write_film_files(film, args.film, args.overlay or "")]
        yield {"film": files}, [" ".join(filter(None, each.values())) for each in files]
    if review.hearts:
        lines = [line for each in review.hearts for line in (each.file.name, *heart_lines(each), "")]
        yield {"heart": [heart_values(each) for each in review.hearts]}, lines
