"""Write participant cards: for known people, for a kind of person, or the poster for everyone."""

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from everyrung.cli.arg_types import add_cluster, body_mass, day, minutes, stature
from everyrung.terms.forecast import USUAL_PEOPLE

if TYPE_CHECKING:
    from everyrung.pipeline import AudienceSpec
    from everyrung.results.analysis import Analysis
    from everyrung.terms.history import History
    from everyrung.terms.person import Person

EPILOG = (
    "One page each, as HTML and PDF: kit, ball, rung and load for each round, the questions that decide, stop signs. "
    "Health answers choose rungs and are never printed. Estimates, not medical advice."
)


def arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `card`."""
    parser.add_argument(
        "plans", type=Path, nargs="+", metavar="PLAN", help="a plan file (TOML); of several, each has its own folder"
    )
    parser.add_argument("--people", type=Path, metavar="FILE", help="a card for each of these people (.toml or .csv)")
    parser.add_argument("--name", metavar="NAME", help="only this one of them")
    parser.add_argument("--stature", type=stature, metavar="LENGTH", help="a card for people about so tall")
    parser.add_argument("--mass", type=body_mass, metavar="MASS", help="and so heavy")
    parser.add_argument("--age", type=int, metavar="YEARS", help="and so old")
    parser.add_argument("--sex", choices=("female", "male"), help="by which table of strengths")
    parser.add_argument("--level", choices=("new", "regular", "strong"), help="how used to such sessions")
    parser.add_argument("--kit", default="", metavar="WORDS", help='what they have, such as "4 kg; chair"')
    parser.add_argument("--in-room", action="store_true", help="they use the room's kit, not their own")
    parser.add_argument("--history", type=Path, metavar="FILE", help="what they did (.csv): what is new, and why")
    parser.add_argument("--on", type=day, metavar="DAY", help="the day of the evening, with --history (default: today)")
    parser.add_argument("--poster", action="store_true", help="the poster for the whole audience")
    parser.add_argument(
        "--mix", default="boathouse", metavar="NAME", help="who comes, for the poster (default: boathouse)"
    )
    parser.add_argument("--minutes", type=minutes, metavar="N", help="fit the plan to N minutes first")
    parser.add_argument("--out", type=Path, metavar="DIR", help="folder to write to (default: in EVERYRUNG_HOME)")
    add_cluster(parser)


def run(args: argparse.Namespace) -> int:
    """Writes the cards and prints their paths."""
    from everyrung.cli.progress import options
    from everyrung.pipeline import run as run_plan
    from everyrung.store.paths import home

    audience = _audience_spec(args)
    folder = args.out or home() / "cards"
    for plan in args.plans:
        analysis = run_plan(plan, minutes=args.minutes, options=options(drawings=True, audience=audience))
        own_folder = folder / plan.stem if len(args.plans) > 1 else folder
        for path in _write_cards(analysis, args, own_folder):
            print(path)
    return 0


def _write_cards(analysis: "Analysis", args: argparse.Namespace, folder: Path) -> list[Path]:
    from everyrung.effort.balls import chart_lines
    from everyrung.publish.card import file_names, person_card, poster, write_card
    from everyrung.store.owners import Owner

    paths: list[Path] = []
    names = file_names(["poster", *(one.name for one in analysis.advice)])
    for one, name in zip(analysis.advice, names[1:], strict=True):
        print(f"writing the card for {one.name} ...", file=sys.stderr)
        paths += write_card(analysis, person_card(analysis, one), folder, name, Owner(name=one.name))
    if args.poster:
        paths += write_card(analysis, poster(analysis, chart_lines(analysis.session)), folder, names[0], None)
    return paths


def _audience_spec(args: argparse.Namespace) -> "AudienceSpec":
    from everyrung.pipeline import AudienceSpec
    from everyrung.terms.errors import Invalid
    from everyrung.terms.history import History

    people = _people(args)
    if not people and not args.poster:
        remedy = "Write --people FILE, --stature LENGTH or --poster."
        raise Invalid("card", "someone to write it for", "nobody", remedy=remedy)
    count = USUAL_PEOPLE if args.poster else 0
    history = _history(args.history) if args.history else History()
    return AudienceSpec(
        mix=args.mix, count=count, people=people, in_room=args.in_room, history=history, on=args.on
    )  # fmt: skip


def _history(path: Path) -> "History":
    from everyrung.moves.library import standard_library
    from everyrung.people.history import read_history

    return read_history(path, standard_library())


def _people(args: argparse.Namespace) -> "tuple[Person, ...]":
    from everyrung.people.read import read_people
    from everyrung.terms.errors import Invalid, nearest

    people = read_people(args.people) if args.people else ()
    if args.name:
        names = [one.name for one in people]
        if args.name not in names:
            remedy = f"There: {', '.join(names)}." if names else "Write --people FILE."
            near = nearest(args.name, names)
            raise Invalid("--name", "one of the people", args.name, nearest=near, remedy=remedy)
        people = tuple(one for one in people if one.name == args.name)
    return (*people, _kind(args)) if args.stature else people


def _kind(args: argparse.Namespace) -> "Person":
    """People of one kind, as if they were one person; named by what is known of them."""
    from everyrung.people.kit_parsing import entries, own
    from everyrung.terms.errors import Where
    from everyrung.terms.person import Experience, Person, Sex

    kit = tuple(own(entry) for entry in entries(args.kit)) if args.kit else ()
    words = [f"about {args.stature * 100:.0f} cm", f"{args.mass:g} kg" if args.mass else "", args.sex or ""]
    words += [f"{args.age} years" if args.age else "", args.kit or "no kit", args.level or "new"]
    return Person(
        where=Where(file="command line", line=0, field="--stature"),
        name=", ".join(word for word in words if word),
        stature_m=args.stature,
        mass_kg=args.mass,
        age=args.age,
        sex=Sex(args.sex) if args.sex else None,
        level=Experience(args.level) if args.level else None,
        kit=kit,
    )
