"""What the stage's log says of the sets that were really led, as records of the whole room."""

import json
from collections.abc import Iterable
from datetime import UTC, date, datetime

from everyrung.effort.choices import strength_cells
from everyrung.lookback.stage_log import What, stage_events
from everyrung.store.session_log import SessionLog
from everyrung.terms.history import History, SetRecord, Source
from everyrung.terms.session import Cell, Session


def led_records(session: Session, log: SessionLog) -> list[SetRecord]:
    """A record of each set of strength that came to its end, in the version that was led; nobody said how many were
    left. The day is that of the studio's own clock.
    """
    events = stage_events(json.loads(log.log)["events"])
    refs = {each.cell for each in events if each.what is What.SET}
    on = datetime.fromtimestamp(log.started_ms / 1000, UTC).astimezone().date()
    return [_record(session, cell, on) for cell in strength_cells(session) if str(cell.ref) in refs]


def _record(session: Session, cell: Cell, on: date) -> SetRecord:
    bout = cell.bouts[0]
    return SetRecord(
        on=on,
        session=session.title,
        cell=str(cell.ref),
        move=cell.rung.move,
        version=cell.rung.key,
        load=bout.load if bout.load and bout.load.pieces else None,
        reps=bout.reps or 0,
        seconds=0.0 if bout.reps else bout.duration_ms / 1000,
        source=Source.STAGE,
    )


def not_there_yet(records: Iterable[SetRecord], history: History) -> list[SetRecord]:
    """Those that the stage has not written down before: a log is sent again and again, each time whole."""
    there = {(each.on, each.session, each.cell) for each in history if each.source is Source.STAGE}
    return [each for each in records if (each.on, each.session, each.cell) not in there]


def led_on(history: History, session: str, on: date) -> frozenset[str]:
    """The places of the sets that the stage has led of a session on a day; none where it was led without a stage."""
    return frozenset(
        each.cell for each in history if each.source is Source.STAGE and (each.session, each.on) == (session, on)
    )
