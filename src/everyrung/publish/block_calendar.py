"""A block of weeks as an iCalendar file (RFC 5545), an event an evening, that replaces the one sent out before: what is
not as it was has a higher SEQUENCE, and an evening that is no more is cancelled (RFC 5546, sections 2.1.4 and 3.2.5).
"""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from hashlib import sha256

from icalendar import Calendar, Event

from everyrung.blocks.changes import change_words, kit_words
from everyrung.blocks.clashes import starts_of
from everyrung.blocks.search import Block
from everyrung.blocks.whole_evening import EveningPlan
from everyrung.publish.calendar import PRODID
from everyrung.terms.errors import require

_SHOWS = ("dtstart", "duration", "summary", "description", "location", "status")
YEAR = timedelta(days=366)  # chosen, because both clock changes of a year then stand in the zone's rules


def block_calendar(block: Block, made_at: datetime, before: bytes = b"") -> bytes:
    """The file; `before` is the one made last. Raises Invalid for a block without a zone, or a time of no clock."""
    require(bool(block.brief.zone), "zone", "a zone such as Europe/Helsinki", block.brief.zone)
    require(made_at.tzinfo is not None, "made_at", "a time with a zone", made_at)
    earlier = {str(each["uid"]): each for each in _events(before)}
    events = [_event(block, each, made_at) for each in block.evenings]
    there = {str(each["uid"]) for each in events}
    events += [_cancellation(each, made_at) for uid, each in earlier.items() if uid not in there]
    file = Calendar()
    file.add("version", "2.0")
    file.add("prodid", PRODID)
    file.add("method", "PUBLISH")
    for each in events:
        file.add_component(_with_sequence(each, earlier.get(str(each["uid"]))))
    days = [each.evening.on for each in block.evenings]
    file.add_missing_timezones(first_date=days[0] - YEAR, last_date=days[-1] + YEAR)
    return bytes(file.to_ical())


def _events(content: bytes) -> Iterator[Event]:
    for each in Calendar.from_ical(content).walk("VEVENT") if content else ():
        if isinstance(each, Event):
            yield each


def _event(block: Block, plan: EveningPlan, made_at: datetime) -> Event:
    brief, evening = block.brief, plan.evening
    minutes = -(-plan.run.plan.slot_ms // 60_000)
    event = Event()
    event.add("uid", _uid(block, plan))
    event.add("dtstamp", made_at.astimezone(UTC).replace(microsecond=0))
    event.add("dtstart", starts_of(brief, evening))
    event.add("duration", timedelta(minutes=minutes))
    event.add("summary", f"{brief.title}, week {evening.week}")
    lines = [change_words(block, plan), f"Bring: {kit_words(plan)}.", brief.link]
    event.add("description", "\n".join(filter(None, lines)))
    event.add("location", brief.place)
    event.add("status", "CONFIRMED")
    return event


def _uid(block: Block, plan: EveningPlan) -> str:
    """Of an evening the same whatever becomes of it: from the block's title and first day, and the evening's day."""
    name = f"{block.brief.title}\n{block.brief.first}\n{plan.evening.on}"
    return f"{plan.evening.on:%Y%m%d}-{sha256(name.encode()).hexdigest()[:16]}@everyrung"


def _cancellation(event: Event, made_at: datetime) -> Event:
    result = event.copy()
    for name in ("status", "dtstamp"):
        result.pop(name, None)
    result.add("dtstamp", made_at.astimezone(UTC).replace(microsecond=0))
    result.add("status", "CANCELLED")
    return result


def _with_sequence(event: Event, before: Event | None) -> Event:
    """The event with its SEQUENCE: that of the one before, and one more where anything people see is not as it was.
    One that is as it was keeps its time stamp too.
    """
    event.pop("sequence", None)
    if before is None:
        event.add("sequence", 0)
        return event
    same = all(_value(event, name) == _value(before, name) for name in _SHOWS)
    event.add("sequence", int(before.get("sequence", 0)) + (not same))
    if same:
        event["dtstamp"] = before["dtstamp"]
    return event


def _value(event: Event, name: str) -> object:
    value = event.get(name)
    return value.to_ical() if value is not None else None
