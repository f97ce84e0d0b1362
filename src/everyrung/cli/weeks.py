"""Plan a block of weeks from a file: which evening trains what, and a whole session for each."""

import argparse
import sys
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from everyrung.cli.arg_types import add_own_cues, day, library

if TYPE_CHECKING:
    from everyrung.blocks.block_file import BlockFile
    from everyrung.blocks.search import Block
    from everyrung.moves.library import Library

EPILOG = """\
The file says what is wanted (docs/weeks.md); the plans of the evenings are written beside it. Planned again, evenings
before --from stay, and so does every evening whose plan you changed by hand; the rest is planned around them.
Exit 0: every evening passes every check. 1: something is given up, and said. Estimates, not medical advice."""
NEW = """\
title = "Winter block"
first = {first}          # the first day of week 1
weeks = 6                   # 4 to 12
brief = "45 min whole body, dumbbells 4 to 12 kg"
closed = []                 # holidays and away days: [2027-02-18]
zone = "Europe/Helsinki"
place = ""

[[weekly]]
day = "Monday"
starts = "18:30"

[[weekly]]
day = "Thursday"
starts = "18:30"
"""


def arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `weeks`."""
    parser.add_argument("block", type=Path, metavar="BLOCK", help="the block's file (TOML)")
    parser.add_argument("--new", action="store_true", help="write an example of such a file there, and plan nothing")
    parser.add_argument("--sheet", action="store_true", help="only write its sheet: HTML, PDF, and in plain words")
    parser.add_argument("--history", type=Path, metavar="FILE", help="what people did, for the sheet (.csv)")
    parser.add_argument(
        "--missed", type=day, metavar="DAY", help="an evening that was cancelled: what must move, moves"
    )
    parser.add_argument("--from", dest="start", type=day, metavar="DAY", help="evenings before it stay (today)")
    parser.add_argument("--beside", type=Path, nargs="+", default=[], metavar="BLOCK", help="other blocks, for clashes")
    add_own_cues(parser)


def run(args: argparse.Namespace) -> int:
    """Plans the block, writes its file and its plans, and prints it in plain words."""
    from everyrung.blocks.block_file import earlier_of, plan_texts, read_block, with_missed, write_block
    from everyrung.blocks.changes import block_lines
    from everyrung.blocks.clashes import clashes
    from everyrung.blocks.search import propose_block
    from everyrung.cli import CLEAN, FINDINGS, UNUSABLE
    from everyrung.store.cache import default_cache

    if args.new:
        return _write_new(args.block)
    moves = library(args)
    block = read_block(args.block, moves)
    if args.sheet:
        return _write_sheet(block, args, moves)
    if block.unknown:
        print(f"Not understood: {block.unknown}", file=sys.stderr)
    sentences = list(clashes(block.brief, [read_block(path, moves).brief for path in args.beside]))
    if sentences:
        print("\n".join(sentences), file=sys.stderr)
        return UNUSABLE
    start = args.start or date.today()
    if args.missed:
        block, start = with_missed(block, args.missed), args.start or args.missed
    earlier = earlier_of(block, plan_texts(block, args.block.parent), start)
    result = propose_block(block.brief, moves, cache=default_cache(), earlier=earlier, on_step=_say)
    write_block(result, block.head, args.block)
    if block.brief.zone:
        _write_calendar(result, args.block.with_suffix(".ics"))
    print("\n".join(block_lines(result)))
    return FINDINGS if result.gives_up else CLEAN


def _write_calendar(block: "Block", path: Path) -> None:
    """The calendar beside the block; one that is there already is brought up to date."""
    from everyrung.publish.block_calendar import block_calendar
    from everyrung.store.files import replace_bytes

    before = path.read_bytes() if path.exists() else b""
    replace_bytes(path, block_calendar(block, datetime.now(UTC), before))


def _write_sheet(block: "BlockFile", args: argparse.Namespace, moves: "Library") -> int:
    """The sheet beside the block, as screen, paper and plain words."""
    from everyrung.blocks.block_file import plan_texts
    from everyrung.blocks.block_view import block_view
    from everyrung.people.history import read_history
    from everyrung.publish.block_sheet import block_html, block_pdf, block_words
    from everyrung.store.cache import default_cache
    from everyrung.store.files import replace_bytes
    from everyrung.terms.history import History

    history = read_history(args.history, moves) if args.history else History()
    view = block_view(block, plan_texts(block, args.block.parent), history, moves, default_cache())
    for ending, content in (
        (".html", block_html(view).encode()),
        (".pdf", block_pdf(view)),
        (".txt", block_words(view).encode()),
    ):
        path = args.block.with_suffix(ending)
        replace_bytes(path, content)
        print(path)
    return 0


def _say(words: str) -> None:
    print(f"{words} ...", file=sys.stderr, flush=True)


def _write_new(path: Path) -> int:
    from everyrung.store.files import replace_text
    from everyrung.terms.errors import Invalid

    if path.exists():
        raise Invalid("block", "the name of a file that is not there yet", str(path))
    today = date.today()
    replace_text(path, NEW.format(first=today + timedelta(days=7 - today.weekday())))
    print(f"Written: {path}. Change it, then: everyrung weeks {path}")
    return 0
