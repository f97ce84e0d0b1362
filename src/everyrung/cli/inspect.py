"""Look at captions, chapters, calendars and sound before they are published, ours or from elsewhere."""

import argparse
from pathlib import Path

EPILOG = (
    "FILE: captions (.vtt, .srt), chapters (.txt, or .vtt with 'chapter' in its name), calendars (.ics), sound (.flac, "
    ".wav, .opus, .ogg, .mp3, .m4a). Nothing is changed. Exit 1: there are problems."
)


def arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `inspect`."""
    parser.add_argument("files", type=Path, metavar="FILE", nargs="+", help="a file to look at")


def run(args: argparse.Namespace) -> int:
    """Prints what each file is, and its problems with their lines."""
    from everyrung.cli import CLEAN, FINDINGS
    from everyrung.publish.inspect import inspect

    problems = 0
    for path in args.files:
        what, in_file = inspect(path)
        print(f"{path}: {what}, {len(in_file)} {'problem' if len(in_file) == 1 else 'problems'}")
        for each in in_file:
            print(f"  {each}")
        problems += len(in_file)
    return FINDINGS if problems else CLEAN
