"""Change a plan by one step that was tried: another move, a round harder or easier, another length."""

import argparse
from pathlib import Path

from everyrung.cli.arg_types import add_own_cues, library, minutes

EPILOG = """\
everyrung change evening.toml --swap Main/Two/squat
everyrung change evening.toml --minutes 20 --take 1 --out shorter.toml
Exit 0: at least one way holds. 1: none does, and why is said. 2: the plan can't be read."""


def arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `change`."""
    parser.add_argument("plan", type=Path, metavar="PLAN", help="a plan file (TOML)")
    what = parser.add_mutually_exclusive_group(required=True)
    what.add_argument("--swap", metavar="SET", help="another move in the place of Main/Two/squat, in every round")
    what.add_argument("--harder", metavar="ROUND", help="the round Main/Two a step harder")
    what.add_argument("--easier", metavar="ROUND", help="the round Main/Two a step easier")
    what.add_argument("--minutes", type=minutes, metavar="N", help="N minutes")
    what.add_argument("--fewer-kit-changes", action="store_true", help="another order of the moves")
    what.add_argument("--off-the-floor", action="store_true", help="nobody gets down")
    what.add_argument("--one-more", action="store_true", help="one person more")
    parser.add_argument("--take", type=int, metavar="N", choices=range(1, 6), help="the way to write, with --out")
    parser.add_argument("--out", type=Path, metavar="FILE", help="where to write it; PLAN itself is allowed")
    add_own_cues(parser)


def run(args: argparse.Namespace) -> int:
    """Prints each way with what differs; writes the one that was taken."""
    from everyrung.cli import CLEAN, FINDINGS
    from everyrung.compose.press import offers
    from everyrung.store.files import replace_text
    from everyrung.terms.errors import Invalid

    kind, at = _request(args)
    result = offers(args.plan, kind, at=at, minutes=args.minutes or 0, library=library(args))
    for number, each in enumerate(result.offers, 1):
        print("\n   ".join([f"{number}. {each.words}", *(f"with it: {words}" for words in each.also), *each.notes]))
    for why in result.stays:
        print(f"Nothing works: {why}.")
    if args.out:
        number = args.take or 1
        if number > len(result.offers):
            raise Invalid("take", f"one of the {len(result.offers)} ways", number, nearest=str(len(result.offers)))
        replace_text(args.out, result.offers[number - 1].text)
        print(f"Number {number} is written to {args.out}.")
    return CLEAN if result.offers else FINDINGS


def _request(args: argparse.Namespace) -> tuple[str, str]:
    """The kind of change, and the place that it is about."""
    from everyrung.compose.changes import ChangeKind

    places = {ChangeKind.SWAP: args.swap, ChangeKind.HARDER: args.harder, ChangeKind.EASIER: args.easier}
    for kind, at in places.items():
        if at:
            return kind, at
    if args.minutes:
        return ChangeKind.FIT, ""
    if args.fewer_kit_changes:
        return ChangeKind.FEWER_KIT_CHANGES, ""
    return (ChangeKind.OFF_THE_FLOOR if args.off_the_floor else ChangeKind.ONE_MORE), ""
