"""History as a spreadsheet: a row for each set that somebody did, or that a whole room answered for."""

import csv
import io
from collections.abc import Iterable
from datetime import date
from pathlib import Path
from typing import Any

from everyrung.moves.library import Library
from everyrung.parsing import person_fields as parse
from everyrung.parsing.spreadsheet import Form, Sheet
from everyrung.parsing.table_reader import Table, attempt
from everyrung.parsing.units import load
from everyrung.people.health import private_text
from everyrung.store.files import FOR_THE_COACH_ALONE, replace_text
from everyrung.terms.errors import Invalid, nearest
from everyrung.terms.history import History, SetRecord, Source

FIELDS = (
    "date", "session", "person", "heads", "cell", "move", "version", "load", "reps", "seconds", "left", "effort",
    "pain", "source",
)  # fmt: skip
FORM = Form(
    row="set",
    fields=FIELDS,
    needs=("date", "move", "version"),
    example="date,person,move,version,load,reps,left",
    words={
        "day": "date",
        "name": "person",
        "who": "person",
        "people": "heads",
        "rung": "version",
        "variant": "version",
        "weight": "load",
        "repetitions": "reps",
        "more": "left",
        "felt": "effort",
        "time": "seconds",
    },
)
_YES, _NO = ("yes", "y", "true", "1"), ("no", "n", "false", "0")


def read_history(path: Path, library: Library) -> History:
    """The history of a CSV file. Raises Faults with every fault found."""
    return history_from_text(private_text(path), str(path), library)


def history_from_text(text: str, file: str, library: Library) -> History:
    """The same from its text; moves and versions are those of the library. Raises Faults."""
    sheet = Sheet(file, FORM)
    records = attempt(sheet.tables(text), lambda table: _record(table, library))
    sheet.finish()
    return History(records=records)


def history_text(history: Iterable[SetRecord]) -> str:
    """The records as such a spreadsheet, which reads back the same."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(FIELDS)
    for each in history:
        writer.writerow(
            [
                each.on.isoformat(), each.session, each.person, "" if each.person else each.heads, each.cell, each.move,
                each.version, each.load or "", each.reps or "", f"{each.seconds:g}" if each.seconds else "",
                _number(each.left), _number(each.effort), {None: "", True: "yes", False: "no"}[each.pain], each.source,
            ]
        )  # fmt: skip
    return out.getvalue()


def write_history(history: Iterable[SetRecord], path: Path) -> None:
    """Writes the file, for the coach alone."""
    replace_text(path.resolve(), history_text(history), mode=FOR_THE_COACH_ALONE)


def _number(value: float | None) -> str:
    return "" if value is None else f"{value:g}"


def _record(table: Table, library: Library) -> SetRecord:
    move = table.take("move", lambda value: _move(value, library))
    return table.build(
        SetRecord,
        where=table.where,
        on=table.take("date", _day),
        session=table.take("session", _text, ""),
        person=table.take("person", parse.name, ""),
        heads=table.take("heads", _whole, 1),
        cell=table.take("cell", _cell, ""),
        move=move,
        version=table.take("version", lambda value: _version(value, move, library)),
        load=table.take("load", load, None),
        reps=table.take("reps", _whole, 0),
        seconds=table.take("seconds", _decimal, 0.0),
        left=table.take("left", _decimal, None),
        effort=table.take("effort", _decimal, None),
        pain=table.take("pain", _yes, None),
        source=table.take("source", _source, Source.FILE),
    )


def _text(value: Any) -> str:
    return str(value).strip()


def _day(value: Any) -> date:
    try:
        return date.fromisoformat(str(value).strip())
    except ValueError:
        raise Invalid("", "a day such as 2026-11-30", value) from None


def _whole(value: Any) -> int:
    text = str(value).strip()
    if not text.isdigit() or len(text) > 6:
        raise Invalid("", "a whole number", value)
    return int(text)


def _decimal(value: Any) -> float:
    text = str(value).strip()
    try:
        number = float(text)
    except ValueError:
        raise Invalid(
            "", "a number", value, remedy="Write a decimal point, not a comma." if "," in text else ""
        ) from None
    if not number >= 0 or number > 1e6:
        raise Invalid("", "a number of 0 or more", value)
    return number


def _yes(value: Any) -> bool:
    word = str(value).strip().casefold()
    if word not in (*_YES, *_NO):
        raise Invalid("", "yes or no", value)
    return word in _YES


def _source(value: Any) -> Source:
    word = str(value).strip().casefold()
    if word not in tuple(Source):
        raise Invalid("", f"one of {', '.join(Source)}", value, nearest=nearest(word, tuple(Source)))
    return Source(word)


def _cell(value: Any) -> str:
    parts = [part.strip() for part in str(value).split("/")]
    if len(parts) != 3 or not all(parts):
        raise Invalid("", 'a place such as "Main/Two/row"', value)
    return "/".join(parts)


def _move(value: Any, library: Library) -> str:
    """The move's key, from its key or its name."""
    word = str(value).strip().casefold()
    if word in library.keys:
        return word
    names = {library.move(key).name.casefold(): key for key in library.keys}
    if word not in names:
        raise Invalid("", "a move of the library", value, nearest=nearest(word, (*library.keys, *names)))
    return names[word]


def _version(value: Any, move: Any, library: Library) -> str:
    """The version's key, from its key or its name; one that a coach made herself stays as it is written."""
    word = str(value).strip()
    if move not in library.keys:
        return word
    names = {name.casefold(): rung.key for rung in library.move(move).versions for name in (rung.key, rung.name)}
    return names.get(word.casefold(), word)
