"""What people did, between the studio's rows and a history: the text of a row is one of a history file, nameless."""

from dataclasses import replace

from everyrung.people.history import history_from_text, history_text
from everyrung.store.history_store import HistoryRow
from everyrung.terms.history import History, SetRecord
from everyrung.terms.person import same_name
from everyrung.web.studio import Studio


def studio_history(studio: Studio) -> History:
    """Everything that was written down, by the names people have now. Raises Faults."""
    rows = studio.history.all()
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
