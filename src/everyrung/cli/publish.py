"""Write everything that participants and a channel need: sheet, texts, captions, chapters, calendar, sound, cards."""

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from everyrung.cli.arg_types import add_cluster, add_own_cues, add_room, library, room_options

if TYPE_CHECKING:
    from everyrung.publish.calendar import Series
    from everyrung.publish.folder.bundle import Telling
    from everyrung.results.analysis import Analysis

STOPPED = 130  # what a shell has for a command that Ctrl+C ended: 128 and SIGINT (POSIX)
EPILOG = (
    "Every file is named in OUT/manifest.json with what it is and the plan's digest. Until that stands, "
    "OUT/UNFINISHED.txt says what is missing. Ctrl+C stops it; the same command picks up where it left off. "
    "Exit 1: findings of severity error; everything is written all the same."
)


def arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `publish`."""
    parser.add_argument("plan", type=Path, metavar="PLAN", help="a plan file (TOML)")
    parser.add_argument("out", type=Path, metavar="OUT", help="folder to write to")
    parser.add_argument("--people", type=Path, metavar="FILE", help="a card for each of these people (.toml or .csv)")
    parser.add_argument("--in-room", action="store_true", help="they use the room's kit, not their own")
    parser.add_argument("--starts", metavar="TIME", help='first class of a series, such as "2026-11-26 18:30"')
    parser.add_argument("--zone", default="", metavar="ZONE", help="its time zone, such as Europe/Helsinki")
    parser.add_argument("--weeks", type=int, default=6, metavar="N", help="how many weeks (default: 6)")
    add_own_cues(parser)
    add_room(parser)
    parser.add_argument("--voice", action="store_true", help="speak the cues too (needs everyrung[voice])")
    parser.add_argument("--video", action="store_true", help="an animated film too (some minutes)")
    parser.add_argument(
        "--also",
        action="append",
        default=[],
        metavar="NAME",
        help="an output of another package; may be repeated",
    )
    parser.add_argument("--place", default="", metavar="WORDS", help="where it is")
    add_cluster(parser)


def run(args: argparse.Namespace) -> int:
    """Writes the folder and prints what is in it."""
    from everyrung.cli import CLEAN, FINDINGS
    from everyrung.cli.progress import options
    from everyrung.people.read import read_people
    from everyrung.pipeline import AudienceSpec
    from everyrung.pipeline import run as run_plan
    from everyrung.publish.folder.bundle import build_bundle
    from everyrung.publish.registry import registry

    also = registry().select([*args.also, *(["film"] if args.video else [])])
    people = read_people(args.people) if args.people else ()
    audience = AudienceSpec(people=people, in_room=args.in_room) if people else None
    run_options = options(
        bodies=True,
        drawings=True,
        cues=True,
        voice=args.voice,
        audience=audience,
        always=True,
        **room_options(args),
    )
    try:
        analysis = run_plan(args.plan, None, library(args), run_options)
        plan = args.plan.read_bytes()
        bundle = build_bundle(analysis, plan, args.out, _telling(), series=_series(args, analysis), also=also)
    except KeyboardInterrupt:
        print(f"\n{_stop_words(args.out)}", file=sys.stderr)
        return STOPPED
    for part in bundle.kept:
        print(f"kept from before: {part}", file=sys.stderr)
    for product in bundle.products:
        print(f"{args.out / product.name}  {product.what}")
    for note in bundle.notes:
        print(f"  {note}")
    return CLEAN if analysis.clean else FINDINGS


def _telling() -> "Telling":
    """A line for each part, and how far it has come for one that is long."""
    from everyrung.cli.progress import ProgressLine

    parts: dict[str, ProgressLine] = {}

    def telling(part: str, count: int, total: int) -> None:
        if total:
            parts.setdefault(part, ProgressLine(f"  {part}"))(count, total)
        else:
            for each in parts.values():
                each.end()
            print(f"writing: {part}", file=sys.stderr)

    return telling


def _stop_words(folder: Path) -> str:
    from everyrung.publish.folder.contents import folder_state

    state = folder_state(folder)
    if state is None:
        return "Stopped; nothing was written yet. What was computed is kept: the same command continues from there."
    there = state.parts - len(state.missing)
    return f"Stopped: {there} of {state.parts} parts are in {folder}. The same command picks up where it left off."


def _series(args: argparse.Namespace, analysis: "Analysis") -> "Series | None":
    from everyrung.publish.calendar import series_of

    if not args.starts:
        return None
    return series_of(analysis.session, args.starts, args.zone, args.weeks, args.place)
