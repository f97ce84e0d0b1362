"""Propose whole sessions from a brief in plain words: what was understood, each session with its reasons, its file."""

import argparse
import re
import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from everyrung.cli.arg_types import add_own_cues, library

if TYPE_CHECKING:
    from everyrung.moves.library import Library
    from everyrung.proposals.brief_text import Reading
    from everyrung.proposals.search import Proposal
    from everyrung.terms.session_brief import SessionBrief

EPILOG = """\
everyrung propose "25 min arms and core, two 2.5 kg, one knee"
Exit 0: at least one session was found that passes every check. 1: none."""
MOST = 9  # proposals at once; chosen, because nobody compares more


def arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `propose`."""
    parser.add_argument("brief", metavar="BRIEF", help="what you want, in plain words, in quotes")
    parser.add_argument("--count", type=int, default=3, choices=range(1, MOST + 1), metavar="N", help="how many (3)")
    parser.add_argument("--seed", type=int, default=1, metavar="N", help="another number breaks ties otherwise (1)")
    parser.add_argument("--people", type=Path, metavar="FILE", help="people who are known and come (.toml or .csv)")
    parser.add_argument("--at-home", action="store_true", help="they are at home, with their own kit")
    parser.add_argument("--title", default="", help="what the session is called")
    parser.add_argument("--out", type=Path, metavar="FOLDER", help="write each as a plan file into this folder")
    add_own_cues(parser)


def run(args: argparse.Namespace) -> int:
    """Prints what was understood and each proposal; writes the files."""
    from everyrung.cli import CLEAN, FINDINGS
    from everyrung.people.read import read_people
    from everyrung.proposals.brief_text import read_brief
    from everyrung.proposals.search import propose
    from everyrung.store.cache import default_cache
    from everyrung.terms.session_brief import SessionBrief

    moves = library(args)
    people = read_people(args.people) if args.people else ()
    at_hand = SessionBrief().for_people(people, at_home=args.at_home).kit
    reading = read_brief(args.brief, moves, at_hand=at_hand)
    _say_understood(reading)
    brief = reading.brief.for_people(people, at_home=args.at_home)
    brief = replace(brief, title=args.title) if args.title else brief
    number = 0
    for number, each in enumerate(propose(brief, moves, count=args.count, seed=args.seed, cache=default_cache()), 1):
        print("\n".join(_lines(number, each)), flush=True)
        if args.out:
            print(f"  written to {_write(args.out, number, each)}")
    if not number:
        print(f"No session keeps all of this and passes every check. {_nearest(brief, moves)}")
    return CLEAN if number else FINDINGS


def _nearest(brief: "SessionBrief", moves: "Library") -> str:
    from everyrung.proposals.nearest import nearest_brief
    from everyrung.store.cache import default_cache

    nearest = nearest_brief(brief, moves, cache=default_cache())
    if nearest is None:
        return "Neither one wish less nor two would help: ask for more minutes, fewer moves by name, or more kit."
    return f"The nearest that works: {nearest[0]}."


def _say_understood(reading: "Reading") -> None:
    from everyrung.proposals.brief_text import unknown_words

    for words, meaning in reading.meanings:
        print(f"{words!r}: {meaning}", file=sys.stderr)
    if reading.unknown:
        print(f"Not understood: {unknown_words(reading)}", file=sys.stderr)


def _lines(number: int, each: "Proposal") -> list[str]:
    from everyrung.proposals.summary import move_lines

    plan = each.run.plan
    minutes, seconds = divmod(each.run.timeline.total_ms // 1000, 60)
    lines = [f"\n{number}. {plan.title}: {minutes}:{seconds:02d}, {len(each.columns[0].versions)} rounds"]
    lines += [f"  {line}" for line in move_lines(each.run)]
    lines.append(f"  for it: {'; '.join(each.reasons)}")
    if each.gives_up:
        lines.append(f"  it gives up: {'; '.join(each.gives_up)}")
    lines.append(f"  worth {each.worth:.1f}, at most {each.bound:.1f} can be had (gap {each.gap:.1%})")
    return lines


def _write(folder: Path, number: int, each: "Proposal") -> Path:
    from everyrung.store.files import replace_text

    folder.mkdir(parents=True, exist_ok=True)
    name = re.sub(r"[^a-z0-9]+", "-", each.run.plan.title.casefold()).strip("-")[:60]
    path = folder / f"{number}-{name}.toml"
    replace_text(path, each.text)
    return path
