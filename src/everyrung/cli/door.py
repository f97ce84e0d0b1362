"""Write the door card: what to ask each person, what they do instead, and what to do when somebody needs help."""

import argparse
from pathlib import Path

from everyrung.cli.words import finding_lines

EPILOG = (
    "door.pdf is one page for the coach; door.html is ticked at the door, shows that person's way through the session\n"
    "and keeps nothing. A planning aid, not medical advice."
)


def arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `door`."""
    parser.add_argument("plan", type=Path, metavar="PLAN", help="a plan file (TOML)")
    parser.add_argument("--room", type=Path, metavar="FILE", help="a room file whose [emergency] is printed")
    parser.add_argument("--out", type=Path, metavar="DIR", default=Path(), help="folder to write to (default: here)")


def run(args: argparse.Namespace) -> int:
    """Writes both, and prints how many people the session has a version for."""
    from everyrung.cli import CLEAN
    from everyrung.moves.library import standard_library
    from everyrung.plan.read import read_plan
    from everyrung.plan.resolve import resolve
    from everyrung.publish.door import door, write_door
    from everyrung.room.paths import coverage, path_findings
    from everyrung.room.read import read_room

    library = standard_library()
    session = resolve(read_plan(args.plan), library)
    room = read_room(args.room) if args.room else None
    for path in write_door(door(session, library, room.emergency if room else None), args.out):
        print(path)
    one = coverage(session, library)
    print(
        f"Of {one.sets} sets of three cautions {one.whole} have a way through all {one.cells} moves and rounds, "
        f"{one.whole_offered} by what the plan offers."
    )
    findings = path_findings(session, library, one)
    print("\n".join(finding_lines(findings, every=True)), end="\n" if findings else "")
    return CLEAN
