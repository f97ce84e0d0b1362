"""Say which version and load each person takes next in a plan, from what they did before."""

import argparse
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from everyrung.cli.arg_types import add_cluster, day

if TYPE_CHECKING:
    from everyrung.terms.history import History
    from everyrung.terms.person import Person

EPILOG = (
    "A step up is earned by two evenings running with two or more left in every set, and is the smallest that is "
    "there; two evenings with nothing left, or three weeks away, are one step down. Each line says why, and that it "
    "may stay as it was. docs/history.md has the columns of the file. Estimates, not medical advice."
)


def arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `next`."""
    parser.add_argument("plan", type=Path, metavar="PLAN", help="the plan of the evening to come (TOML)")
    parser.add_argument("--people", type=Path, metavar="FILE", required=True, help="the people (.toml or .csv)")
    parser.add_argument("--history", type=Path, metavar="FILE", required=True, help="what they did before (.csv)")
    parser.add_argument("--on", type=day, metavar="DAY", help="the day of the evening (default: today)")
    parser.add_argument("--in-room", action="store_true", help="they use the room's kit, not their own")
    add_cluster(parser)


def run(args: argparse.Namespace) -> int:
    """Prints every person's steps, a line a cell."""
    from everyrung.cli.progress import options
    from everyrung.moves.library import standard_library
    from everyrung.people.history import read_history
    from everyrung.people.read import read_people
    from everyrung.pipeline import ready_course
    from everyrung.weeks.person_steps import person_steps, step_lines

    library = standard_library()
    people, history = read_people(args.people), read_history(args.history, library)
    _check_names(history, people)
    along = ready_course(args.plan, options(bodies=True), library)
    evening = args.on or date.today()
    for one, steps in zip(
        people, person_steps(along, people, history, library, evening, in_room=args.in_room), strict=True
    ):
        print(one.name)
        for line in step_lines(steps):
            print(f"  {line}")
    return 0


def _check_names(history: "History", people: "tuple[Person, ...]") -> None:
    """A name in the history that nobody has is a mistake of typing, and would be left out in silence."""
    from dataclasses import replace

    from everyrung.people.read import unknown_people
    from everyrung.terms.person import same_name

    names = {same_name(one.name): one.name for one in people}
    unknown = {each.person: each for each in history.records if each.person and same_name(each.person) not in names}
    if unknown:
        strangers = [(replace(each.where, field="person"), name) for name, each in unknown.items()]
        raise unknown_people(strangers, names.values())
