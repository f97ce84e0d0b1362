"""List the move library: every move by pattern with its ladder, easiest rung first."""

import argparse
import json
from typing import Any

EPILOG = "Grades: 1 supported, 2 easy, 3 standard, 4 strong, 5 practised and strong. Declared, not yet computed."


def arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `moves`."""
    parser.add_argument("--json", action="store_true", help="print the library as JSON")


def run(parsed: argparse.Namespace) -> int:
    """Prints the library."""
    from everyrung.moves.library import standard_library
    from everyrung.terms.enums import Pattern

    library = standard_library()
    moves = [library.move(key) for key in library.keys]
    if parsed.json:
        print(json.dumps([_values(move) for move in moves], indent=2, ensure_ascii=False))
        return 0
    for pattern in Pattern:
        chosen = [move for move in moves if move.pattern is pattern]
        if not chosen:
            continue
        print(f"\n{pattern.upper()}")
        for move in chosen:
            print(f"\n  {move.key}: {move.name} ({move.base.position}, {', '.join(move.focus)})")
            for rung in move.ladder:
                kit = ", ".join(str(need.item) for need in rung.kit) or "nothing"
                print(f"    {rung.grade}  {rung.key:<16} {rung.name} [{kit}] {rung.entry_test}")
    return 0


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
            for rung in move.ladder
        ],
    }
