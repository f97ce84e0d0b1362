"""What people did, between the studio's rows and a history: the text of a row is one of a history file, nameless."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from everyrung.people.history import history_from_text, history_text
from everyrung.store.history_store import HistoryRow
from everyrung.terms.errors import Invalid, nearest
from everyrung.terms.history import History, SetRecord, Source
from everyrung.terms.person import same_name
from everyrung.web.studio import Studio


def studio_history(studio: Studio, on: date | None = None) -> History:
    """Everything that was written down, or what was on one day, by the names people have now. Raises Faults."""
    rows = studio.history.all(on.isoformat() if on else "")
    if not rows:
        return History()
    head = history_text([]).rstrip("\n")
    nameless = history_from_text("\n".join([head, *(row.record for row in rows)]), "history", studio.library)
    return History(
        records=tuple(replace(record, person=row.name) for record, row in zip(nameless.records, rows, strict=True))
    )


def history_rows(studio: Studio, records: list[SetRecord]) -> list[HistoryRow]:
    """Records as the studio keeps them. A name that nobody has is the room's: the caller sees to names."""
    numbers = {same_name(row.name): row.id for row in studio.people.all()}
    return [
        HistoryRow(
            person=numbers.get(same_name(record.person), 0),
            day=record.on.isoformat(),
            record=history_text([replace(record, person="")]).splitlines()[1],
        )
        for record in records
    ]


def bring_history(studio: Studio, text: str, file: str, whose: int) -> tuple[int, int]:
    """A history file, a player's too: how many records are new, and how many were there already. Those of a name that
    is not on the list, or of none in a player's file, are of the person of number `whose`; 0 for nobody. All of it or
    nothing. Raises Faults, and Invalid for a name that is nobody's, NotFound for a number.
    """
    own_records = records_of_text(studio, history_from_text(text, file, studio.library).records, whose)
    there = studio_history(studio).current
    new = [each for each in own_records if each not in there]
    studio.history.add(history_rows(studio, new))
    return len(new), len(own_records) - len(new)


def records_of_text(studio: Studio, records: Sequence[SetRecord], whose: int) -> list[SetRecord]:
    """Records of a file by the names on the list. Raises Invalid for a name that is nobody's, NotFound for a number."""
    names = {same_name(row.name): row.name for row in studio.people.all()}
    own = studio.people.name(whose) if whose else ""
    return [
        replace(each, person=_whose(each, names, own), heads=1 if each.person or own else each.heads)
        for each in records
    ]


def _whose(record: SetRecord, names: dict[str, str], own: str) -> str:
    """The name of the person of a record as the list has it; '' for the whole room's."""
    name = names.get(same_name(record.person), "")
    if name or (not record.person and record.source is not Source.PLAYER):
        return name
    if not own:
        near = nearest(record.person, tuple(names.values()))
        remedy = "Choose whose it is, or put them on the list first."
        raise Invalid("person", "somebody on your list", record.person or "nobody", nearest=near, remedy=remedy)
    return own
