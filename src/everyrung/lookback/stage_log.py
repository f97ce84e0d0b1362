"""The stage's own log of one show: what was pressed, what came to its end, when on the wall and where in the plan."""

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Any

from everyrung.terms.errors import Fault, Faults, Invalid, Where, member, require

VERSION = 1  # one more when a reader of the one before would misread it
MOST_BYTES = 5_000_000  # chosen, because an evening with a press a second comes to a tenth of it
LAST_WALL_MS = 2**53  # what a browser can count to


class What(StrEnum):
    """What was done; the words that the stage sends."""

    START = "start"  # the clock was let go for the first time
    GO = "go"
    PAUSE = "pause"
    SKIP = "skip"
    BACK = "back"
    CUT = "cut"  # three minutes less
    UNDO = "undo"
    WAIVE = "waive"  # a side that was owed was made up, or let go
    SET = "set"  # a bout came to its end
    LEFT = "left"  # a stage that broke off was there last
    AGAIN = "again"  # and was opened again
    HERE = "here"  # the stage was still there
    END = "end"


@dataclass(frozen=True, slots=True, kw_only=True)
class StageEvent:
    """One thing: `wall_ms` since 1970 (UTC), `at_ms` on the clock of the plan as it was led, `to_ms` where a skip or a
    step back led to. `cell` names sets as a plan does; `by` is the screen that steered: stage, prompter or remote.
    """

    wall_ms: int
    at_ms: int
    what: What
    cell: str = ""
    to_ms: int | None = None
    by: str = ""

    def __post_init__(self) -> None:
        require(0 <= self.wall_ms < LAST_WALL_MS, "wall_ms", "milliseconds since 1970", self.wall_ms)
        require(0 <= self.at_ms < LAST_WALL_MS, "at_ms", "milliseconds of the session", self.at_ms)
        require(self.to_ms is None or self.to_ms >= 0, "to_ms", "milliseconds of the session", self.to_ms)


@dataclass(frozen=True, slots=True, kw_only=True)
class StageLog:
    """One show. `revision` is the version of the session that was led; `notes` are the coach's own, after it."""

    title: str
    revision: int
    events: tuple[StageEvent, ...]
    notes: str = ""

    def __post_init__(self) -> None:
        is_begun = any(each.what is What.START for each in self.events)
        require(is_begun, "events", "the start of a show", [str(each.what) for each in self.events[:3]])


def stage_events(values: Iterable[Mapping[str, Any]]) -> tuple[StageEvent, ...]:
    """Events as a stage sends them. Raises Invalid, KeyError, TypeError or ValueError for what is none."""
    return tuple(
        StageEvent(
            wall_ms=int(each["wall_ms"]),
            at_ms=int(each["at_ms"]),
            what=member(What, "what", each["what"]),
            cell=str(each.get("cell", ""))[:200],
            to_ms=None if each.get("to_ms") is None else int(each["to_ms"]),
            by=str(each.get("by", ""))[:20],
        )
        for each in values
    )


def event_values(events: Sequence[StageEvent]) -> list[dict[str, Any]]:
    """The same as values for JSON; what is not there is left out."""
    return [
        {"wall_ms": each.wall_ms, "at_ms": each.at_ms, "what": str(each.what), "cell": each.cell}
        | ({"to_ms": each.to_ms} if each.to_ms is not None else {})
        | ({"by": each.by} if each.by else {})
        for each in events
    ]


def stage_log_text(log: StageLog) -> str:
    """The file that `read_stage_log` reads."""
    values = {
        "stage_log": VERSION,
        "title": log.title,
        "revision": log.revision,
        "notes": log.notes,
        "events": event_values(log.events),
    }
    return json.dumps(values, indent=1, ensure_ascii=False) + "\n"


def read_stage_log(path: Path) -> StageLog:
    """The log at `path`, as the studio gives it out. Raises Faults for what is none, with where in it."""
    try:
        with path.open("rb") as file:
            raw = file.read(MOST_BYTES + 1)
        require(len(raw) <= MOST_BYTES, "log", f"at most {MOST_BYTES // 1_000_000} MB", "more")
        values = json.loads(raw.decode("utf-8-sig"))
        require(
            isinstance(values, dict) and values.get("stage_log") == VERSION, "stage_log", str(VERSION), _kind(values)
        )
        return StageLog(
            title=str(values.get("title", "")),
            revision=int(values.get("revision", 0)),
            events=_events(values.get("events")),
            notes=str(values.get("notes", "")),
        )
    except OSError as problem:
        raise _fault(path, "log", "a stage log that can be read", problem.strerror or str(problem)) from None
    except Invalid as problem:
        raise _fault(path, problem.field, problem.expected, str(problem.got)) from None
    except (ValueError, RecursionError) as problem:
        raise _fault(path, "log", "JSON", str(problem)) from None


def _kind(values: object) -> object:
    return values.get("stage_log", "none") if isinstance(values, dict) else type(values).__name__


def _events(values: object) -> tuple[StageEvent, ...]:
    if not isinstance(values, list):
        raise Invalid("events", "a list", type(values).__name__)
    result: list[StageEvent] = []
    for place, each in enumerate(values, start=1):
        try:
            result += stage_events([each])
        except (KeyError, TypeError, AttributeError):
            raise Invalid(f"events, number {place}", "wall_ms, at_ms and what", str(each)[:60]) from None
        except Invalid as problem:
            raise Invalid(f"events, number {place}, {problem.field}", problem.expected, problem.got) from None
    return tuple(result)


def _fault(path: Path, field: str, expected: str, got: str) -> Faults:
    remedy = "Get it from the studio: Lead, Led before, JSON."
    return Faults([Fault(where=Where(file=path.name, line=0, field=field), expected=expected, got=got, remedy=remedy)])
