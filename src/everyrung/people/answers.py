"""Answers to "how many more could you have done?", from a TOML file."""

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from everyrung.parsing.document import parse, read_text
from everyrung.parsing.table_reader import FileFaults, Table, attempt, number, whole, words
from everyrung.parsing.units import load
from everyrung.terms.enums import OptionKind
from everyrung.terms.errors import Invalid, Where, nearest, or_list, require
from everyrung.terms.history import MOST_LEFT
from everyrung.terms.plan import Ref
from everyrung.terms.units import MAX_REPS, Load

AS_LED = "as led"


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """After `reps` repetitions of a cell's rung (`kind` None: the led one), a side, someone had `left` more in them."""

    where: Where = field(compare=False)
    person: str
    ref: Ref
    kind: OptionKind | None
    load: Load | None
    reps: int
    left: float

    def __post_init__(self) -> None:
        require(self.reps >= 1, "reps", "1 repetition or more", self.reps)
        require(0 <= self.left <= MOST_LEFT, "left", f"0 to {MOST_LEFT} repetitions", self.left)


def read_answers(path: Path) -> tuple[Answer, ...]:
    """The [[answer]] tables of a file. Raises Faults with every fault found."""
    text = read_text(path)
    reading = FileFaults(str(path), text)
    table = Table(reading, parse(text, str(path)))
    answers = attempt(table.tables("answer"), _answer)
    if not answers and table.clean:
        reading.fault(("answer",), Invalid("answer", "[[answer]] tables", "none", remedy="See docs/rehearsal.md."))
    table.finish()
    return answers


def _answer(table: Table) -> Answer:
    return table.build(
        Answer,
        where=table.where,
        person=table.take("person", words),
        ref=table.take("cell", _ref),
        kind=table.take("rung", _kind, None),
        load=table.take("load", load, None),
        reps=table.take("reps", whole(1, MAX_REPS)),
        left=table.take("left", number),
    )


def _ref(value: Any) -> Ref:
    parts = [part.strip() for part in words(value).split("/")]
    if len(parts) != 3 or not all(parts):
        raise Invalid("", 'a cell such as "Main/Two/lunge"', value)
    return Ref(block=parts[0], round=parts[1], cell=parts[2])


def _kind(value: Any) -> OptionKind | None:
    kinds = [AS_LED, *(str(kind) for kind in OptionKind)]
    if value == AS_LED:
        return None
    if value in kinds:
        return OptionKind(value)
    near = nearest(value, kinds) if isinstance(value, str) else ""
    raise Invalid("", or_list([repr(word) for word in kinds]), value, nearest=near)
