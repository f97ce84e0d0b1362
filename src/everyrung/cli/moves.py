"""List the moves: every one by pattern with its ladder, easiest rung first. Check and keep moves of your own."""

import argparse
import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from everyrung.cli.arg_types import add_cluster

if TYPE_CHECKING:
    from everyrung.moves.library import Library

EPILOG = (
    "Grades: 1 supported, 2 easy, 3 standard, 4 strong, 5 practised and strong. "
    "Of strength moves they go by what the hardest joint of twelve reference bodies has to do; of warm-ups and "
    "stretches by range. "
    "--check puts every rung of a file on the 12 reference bodies; exit 1: it can't be led yet. "
    "--keep checks it, and keeps it for plans under the file's name when nothing is an error."
)


def arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `moves`."""
    parser.add_argument("words", nargs="*", help="only moves of this name, or what else the trade calls them")
    parser.add_argument("--json", action="store_true", help="print the library as JSON")
    own = parser.add_mutually_exclusive_group()
    own.add_argument("--check", type=Path, metavar="FILE", help="check a move of your own (.toml)")
    own.add_argument("--keep", type=Path, metavar="FILE", help="check it, and keep it for plans")
    add_cluster(parser)


def run(args: argparse.Namespace) -> int:
    """Prints the library, or what is to be said of a move file."""
    if args.check or args.keep:
        return _check(args.check or args.keep, keep=bool(args.keep))
    from everyrung.moves.library import standard_library
    from everyrung.moves.trade_names import moves_by_name
    from everyrung.terms.enums import Pattern
    from everyrung.terms.errors import Invalid

    library = standard_library()
    for problem in library.problems:
        print(f"Your own move is left out. {problem}", file=sys.stderr)
    words = " ".join(args.words)
    moves = list(moves_by_name(library, words)) if words else [library.move(key) for key in library.keys]
    if not moves:
        raise Invalid("words", "the name of a move, or a word of one", words, remedy="`everyrung moves` lists them.")
    if args.json:
        print(json.dumps([_values(move) for move in moves], indent=2, ensure_ascii=False))
        return 0
    for pattern in Pattern:
        of_pattern = [move for move in moves if move.pattern is pattern]
        if not of_pattern:
            continue
        print(f"\n{pattern.upper()}")
        for move in of_pattern:
            yours = " (yours)" if move.key in library.own_keys else ""
            print(f"\n  {move.key}: {move.name}{yours} ({move.base.position}, {', '.join(move.focus)})")
            for rung in move.versions:
                kit = ", ".join(str(need.item) for need in rung.kit) or "nothing"
                print(f"    {rung.grade}  {rung.key:<16} {rung.name} [{kit}] {rung.entry_test}")
    return 0


def _check(path: Path, *, keep: bool) -> int:
    from everyrung.checks.move_check import body_notes, ladder_notes
    from everyrung.cli import CLEAN, FINDINGS
    from everyrung.cli.progress import ProgressLine
    from everyrung.moves.library import standard_library
    from everyrung.moves.own_moves import keep_move
    from everyrung.parsing.document import read_text
    from everyrung.store.cache import default_cache
    from everyrung.terms.enums import Severity

    library, text = standard_library(), read_text(path)
    with_it = library.with_text(path.stem, text, str(path))
    on_step = ProgressLine("rungs on bodies") if sys.stderr.isatty() else None
    notes = (
        *ladder_notes(with_it, path.stem),
        *body_notes(with_it, path.stem, cache=default_cache(), on_step=on_step),
    )
    if on_step:
        on_step.end()
    _list(with_it, path.stem)
    for note in notes:
        print(note)
    if any(note.severity is Severity.ERROR for note in notes):
        print("It can't be led yet; nothing was kept.")
        return FINDINGS
    if keep:
        print(f"Kept: {keep_move(path.stem, text, library.standard_keys)}. Plans name it {path.stem!r}.")
    return CLEAN


def _list(library: "Library", key: str) -> None:
    move = library.move(key)
    print(f"{move.name}: {len(move.versions)} rungs on 12 reference bodies. A planning aid, not medical advice.")
    for rung in move.versions:
        cautions = f" Caution: {', '.join(map(str, rung.cautions))}." if rung.cautions else ""
        print(f"  {rung.grade}  {rung.key:<16} {rung.name}. {rung.entry_test}{cautions}")


def _values(move: Any) -> dict[str, Any]:
    from everyrung.moves.lever_words import write_lever

    return {
        "key": move.key,
        "name": move.name,
        "kind": str(move.kind),
        "pattern": str(move.pattern),
        "focus": list(move.focus),
        "position": str(move.base.position),
        "sides": str(move.base.sides),
        "mode": str(move.base.mode),
        "phases": list(move.base.phases),
        "contacts": list(move.base.contacts),
        "cautions": [str(caution) for caution in move.cautions],
        "ladder": [
            {
                "key": rung.key,
                "name": rung.name,
                "grade": rung.grade,
                "levers": [write_lever(lever) for lever in rung.levers],
                "kit": [{"item": str(need.item), "pieces": need.pieces} for need in rung.kit],
                "entry_test": rung.entry_test,
                "cautions": [str(caution) for caution in rung.cautions],
                "cues": [{"kind": str(cue.kind), "text": cue.text} for cue in rung.cues],
            }
            for rung in move.versions
        ],
    }
