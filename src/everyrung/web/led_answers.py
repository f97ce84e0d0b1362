"""What people answered after a show, from a form or a player: into the history, and in words for the show's screen."""

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime

from everyrung.lookback.answer_sheet import OneAnswer, read_answer_sheet, records_of_answers
from everyrung.lookback.plan_sets import round_words
from everyrung.lookback.stage_log import What, stage_events
from everyrung.people.history import history_from_text
from everyrung.store.led_sources import SourceKind
from everyrung.store.session_log import SessionLog
from everyrung.terms.history import SetRecord
from everyrung.terms.session import Cell
from everyrung.web.history_rows import history_rows, records_of_text, studio_history
from everyrung.web.quick_entry import entry_cells
from everyrung.web.studio import Studio

PLAYER_FIELDS = {"date", "move", "version"}  # without these no row of a history can be read


@dataclass(frozen=True, slots=True, kw_only=True)
class AnswerCount:
    """How many answers are new in the history, and how many were there."""

    new: int
    old: int


def day_of(log: SessionLog) -> date:
    """Of a show, by the studio's own clock."""
    return datetime.fromtimestamp(log.started_ms / 1000, UTC).astimezone().date()


def keep_answers(studio: Studio, log: SessionLog, text: str, file: str, whose: int) -> AnswerCount:
    """A form's spreadsheet, or what a player gave back of person `whose`. All of it that can be matched goes into the
    history; what can't is kept in words with the show. Raises Faults, Invalid, NotFound.
    """
    revision = studio.sessions.revision(log.session, log.revision)
    if _is_history(text):
        records, lines = _of_player(studio, log, text, file, whose, revision.title)
    else:
        names = {name: key for key, name in studio.people.names()}
        sheet = read_answer_sheet(text, tuple(names), asked_cells(studio, log), day_of(log))
        records = records_of_answers(sheet.answers, day_of(log), revision.title)
        lines = [*(f"Not matched. {each}" for each in sheet.left_out), *sheet.guesses]
        _keep_words(studio, log, names, sheet.answers)
    studio.led_sources.add(log.id, SourceKind.ANSWERS, file, json.dumps(lines).encode())
    there = studio_history(studio).current
    new = [each for each in records if each not in there]
    studio.history.add(history_rows(studio, new))
    return AnswerCount(new=len(new), old=len(records) - len(new))


def asked_cells(studio: Studio, log: SessionLog) -> tuple[Cell, ...]:
    """The sets of strength that may be meant, the last one first; by a stage's log those that came to their end."""
    session = studio.on_clock(studio.sessions.revision(log.session, log.revision).text).session
    events = stage_events(json.loads(log.log)["events"])
    refs = {each.cell for each in events if each.what is What.SET}
    cells = entry_cells(session)
    return tuple(each for each in cells if str(each.ref) in refs) if refs else cells


def _is_history(text: str) -> bool:
    head = text.lstrip("\ufeff").partition("\n")[0].casefold()
    fields = {each.strip().strip('"') for sign in ",;\t" for each in head.split(sign)}
    return fields >= PLAYER_FIELDS


def _of_player(
    studio: Studio, log: SessionLog, text: str, file: str, whose: int, title: str
) -> tuple[list[SetRecord], list[str]]:
    """The rows of this show's day and session; the others are named."""
    records = records_of_text(studio, history_from_text(text, file, studio.library).records, whose)
    mine = [each for each in records if each.on == day_of(log) and each.session in ("", title)]
    others = len(records) - len(mine)
    where = "bring the file in on the People screen to have those too"
    left_out = [f"Not matched. {others} rows are from other days or sessions: {where}."] if others else []
    return mine, left_out


def _keep_words(studio: Studio, log: SessionLog, names: dict[str, int], answers: Sequence[OneAnswer]) -> None:
    """What each of them said, with the show and with the person."""
    for name in dict.fromkeys(each.person for each in answers):
        lines = [_words(each) for each in answers if each.person == name]
        studio.led_sources.add(log.id, SourceKind.ANSWERS, name, json.dumps(lines).encode(), person=names[name])


def _words(each: OneAnswer) -> str:
    parts = [
        f"{each.left:g} left" if each.left is not None else "",
        f"effort {each.effort:g} of 10" if each.effort is not None else "",
        {True: "PAIN", False: "no pain", None: ""}[each.pain],
        f"“{each.comment}”" if each.comment else "",
    ]
    return f"{each.cell.rung.name} in {round_words(each.cell.ref)}: {', '.join(part for part in parts if part)}."


def answer_lines(studio: Studio, log: SessionLog) -> Iterator[str]:
    """What was said and what could not be matched; who has pain stands first."""
    names = dict(studio.people.names())
    rows = [each for each in studio.led_sources.of(log.id) if each.kind is SourceKind.ANSWERS and each.content]
    lines = [
        f"{names[each.person]}: {line}" if each.person else str(line)
        for each in rows
        for line in json.loads(each.content or b"[]")
    ]
    yield from sorted(lines, key=lambda line: ("PAIN" not in line, line.startswith("Not matched")))
