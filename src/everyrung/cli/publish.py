"""Write everything that participants and a channel need: sheet, texts, captions, chapters, calendar, sound, cards."""

import argparse
import sys
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

if TYPE_CHECKING:
    from everyrung.pipeline import Run
    from everyrung.publish.calendar import Series

EPILOG = (
    "Every file is named in OUT/manifest.json with what it is and the plan's digest. "
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
    parser.add_argument("--video", action="store_true", help="an animated film too (some minutes)")
    parser.add_argument("--place", default="", metavar="WORDS", help="where it is")


def run(parsed: argparse.Namespace) -> int:
    """Writes the folder and prints what is in it."""
    from everyrung.cli import CLEAN, FINDINGS
    from everyrung.cli.progress import asked
    from everyrung.people.read import read_people
    from everyrung.pipeline import Expected
    from everyrung.pipeline import run as run_plan
    from everyrung.publish.folder.make import make

    people = read_people(parsed.people) if parsed.people else ()
    expected = Expected(people=people, in_room=parsed.in_room) if people else None
    done = run_plan(parsed.plan, asked=asked(bodies=True, drawings=True, cues=True, expected=expected))
    plan = parsed.plan.read_bytes()
    made = make(done, plan, parsed.out, _told, series=_series(parsed, done), video=parsed.video)
    for product in made.products:
        print(f"{parsed.out / product.name}  {product.what}")
    for note in made.notes:
        print(f"  {note}")
    return CLEAN if done.clean else FINDINGS


def _told(name: str) -> None:
    print(f"writing: {name}", file=sys.stderr)


def _series(parsed: argparse.Namespace, done: "Run") -> "Series | None":
    from everyrung.publish.calendar import Series
    from everyrung.terms.fault import Invalid

    if not parsed.starts:
        return None
    try:
        starts = datetime.fromisoformat(parsed.starts).replace(tzinfo=ZoneInfo(parsed.zone))
    except (ValueError, ZoneInfoNotFoundError, OSError):
        got, remedy = f"{parsed.starts} {parsed.zone}".strip(), "Give --zone too."
        raise Invalid(
            "--starts", '"2026-11-26 18:30" and a --zone such as Europe/Helsinki', got, remedy=remedy
        ) from None
    minutes = done.session.slot_ms // 60_000
    title = done.session.title
    return Series(title=title, starts=starts, minutes=minutes, weeks=parsed.weeks, summary=title, place=parsed.place)
