"""Look at captions, chapters, calendars and sound before they are published, ours or from elsewhere."""

import argparse
from pathlib import Path

EPILOG = (
    "FILE: captions (.vtt, .srt), chapters (.txt, or .vtt with 'chapter' in its name), calendars (.ics), sound (.flac, "
    ".wav, .opus, .ogg, .mp3, .m4a). No FILE is changed. Exit 1: there are problems."
)


def arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `inspect`."""
    parser.add_argument("files", type=Path, metavar="FILE", nargs="+", help="a file to look at")
    parser.add_argument(
        "--into",
        type=Path,
        metavar="NEW",
        help="captions again as they were read, with speakers and notes (.vtt, .srt)",
    )


def run(args: argparse.Namespace) -> int:
    """Prints what each file is, and its problems with their lines."""
    from everyrung.cli import CLEAN, FINDINGS
    from everyrung.publish.inspect import inspect, write_again
    from everyrung.terms.errors import require

    require(not args.into or len(args.files) == 1, "--into", "one FILE", len(args.files))
    problems = 0
    for path in args.files:
        result = inspect(path)
        count = len(result.problems)
        print(f"{path}: {result.what}, {count} {'problem' if count == 1 else 'problems'}")
        for each in (*result.problems, *result.notes):
            print(f"  {each}")
        problems += count
    if args.into:
        write_again(args.files[0], args.into)
    return FINDINGS if problems else CLEAN
