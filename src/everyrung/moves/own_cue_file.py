"""The file of a coach's own cues: one [[cue]] each, with the move and rung that it is for."""

import json
from collections.abc import Sequence
from functools import partial
from pathlib import Path

from everyrung.moves.library import Library
from everyrung.parsing.document import parse, read_text
from everyrung.parsing.table_reader import FileFaults, Table, attempt, one_of, words
from everyrung.terms.enums import CueKind
from everyrung.terms.errors import Invalid
from everyrung.terms.timeline import OwnCue


def read_own_cues(path: Path, library: Library) -> tuple[OwnCue, ...]:
    """The cues of the file at `path`, in its order. Raises Faults with every fault in it."""
    text = read_text(path)
    reading = FileFaults(str(path), text)
    table = Table(reading, parse(text, str(path)))
    cues = attempt(table.tables("cue"), partial(_cue, library))
    attempt(iter([table]), Table.check_fields)
    reading.finish()
    return cues


def _cue(library: Library, table: Table) -> OwnCue:
    move, rung = table.take("move", words, ""), table.take("rung", words, "")
    if move:
        _check_names(library, table, move, rung)
    return table.build(
        OwnCue, move=move, rung=rung, kind=table.take("kind", one_of(CueKind)), text=table.take("text", words)
    )


def _check_names(library: Library, table: Table, move: str, rung: str) -> None:
    try:
        library.rung(move, rung or "base")
    except Invalid as problem:
        table.reading.fault((*table.path, problem.field), problem)


def own_cues_text(own: Sequence[OwnCue]) -> str:
    """The same cues as such a file. JSON's strings are TOML's, for text without control signs."""
    return "\n".join(map(_cue_text, own)) if own else "# no cues of your own yet\n"


def _cue_text(one: OwnCue) -> str:
    fields = {"move": one.move, "rung": one.rung, "kind": str(one.kind), "text": one.text}
    lines = [f"{name} = {json.dumps(value, ensure_ascii=False)}" for name, value in fields.items() if value]
    return "\n".join(["[[cue]]", *lines, ""])
