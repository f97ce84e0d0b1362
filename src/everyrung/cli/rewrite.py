"""Write a plan with every amount in its usual form ("0:40", "10 lb"); comments and order stay."""

import argparse
import sys
from pathlib import Path

EPILOG = "Prints the plan; with --write the file is replaced, whole or not at all."


def arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `rewrite`."""
    parser.add_argument("plan", type=Path, metavar="PLAN", help="a plan file (TOML)")
    parser.add_argument("--write", action="store_true", help="replace the file instead of printing")


def run(args: argparse.Namespace) -> int:
    """Prints or replaces one plan."""
    from everyrung.parsing.document import read_text
    from everyrung.plan.write import canonical
    from everyrung.store.files import replace_text

    text = read_text(args.plan)
    new_text = canonical(text, str(args.plan))
    if args.write:
        replace_text(args.plan.resolve(), new_text, crlf=b"\r\n" in args.plan.read_bytes())
        print(f"{args.plan}: {'rewritten' if new_text != text else 'already in its usual form'}", file=sys.stderr)
    else:
        sys.stdout.write(new_text)
    return 0
