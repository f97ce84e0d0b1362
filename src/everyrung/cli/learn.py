"""Learn how strong and how enduring known people are, from their answers "how many more could you have done?"."""

import argparse
import sys
from dataclasses import replace
from pathlib import Path

from everyrung.cli.arg_types import add_cluster

EPILOG = (
    "Ask in the last third of a set: early answers are guesses and move little. Exit 2: a file that can't be used; "
    "nothing is written then."
)


def arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `learn`."""
    parser.add_argument("plan", type=Path, metavar="PLAN", help="the plan that was led (TOML)")
    parser.add_argument("answers", type=Path, metavar="ANSWERS", help="what people answered (TOML)")
    parser.add_argument("--people", type=Path, metavar="FILE", required=True, help="the people (.toml or .csv)")
    parser.add_argument("--out", type=Path, metavar="FILE", help="write the people with both numbers there (.toml)")
    add_cluster(parser)


def run(args: argparse.Namespace) -> int:
    """Prints both numbers of each person who answered, with their bounds; writes them where that is asked."""
    from everyrung.cli.progress import options
    from everyrung.effort.person_fit import fit_person
    from everyrung.effort.words import estimate_words
    from everyrung.people.answers import read_answers
    from everyrung.people.read import read_people, unknown_people
    from everyrung.people.write import write_people
    from everyrung.pipeline import ready_course

    people = {one.name: one for one in read_people(args.people)}
    answers = read_answers(args.answers)
    if strangers := [(each.where, each.person) for each in answers if each.person not in people]:
        raise unknown_people(strangers, people)
    along = ready_course(args.plan, options(bodies=True))
    for name in dict.fromkeys(answer.person for answer in answers):
        theirs = [answer for answer in answers if answer.person == name]
        fit = fit_person(along, people[name], theirs)
        count = f"{len(theirs)} answer{'s' if len(theirs) > 1 else ''}"
        strength, endurance = estimate_words(fit.strength), estimate_words(fit.endurance)
        print(f"{name}, {count}: strength {strength}, endurance {endurance}")
        people[name] = replace(people[name], strength=fit.strength, endurance=fit.endurance)
    print("Against people of the same age, sex, size and level; in brackets where nineteen of twenty such people lie.")
    if args.out:
        for path in write_people(tuple(people.values()), args.out):
            print(f"{path}: written", file=sys.stderr)
    return 0
