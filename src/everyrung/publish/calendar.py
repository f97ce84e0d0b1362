"""A block of weekly classes as an iCalendar file (RFC 5545): the time on the wall is kept over clock changes."""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from icalendar import Calendar, Event
from icalendar.prop import vRecur

from everyrung.publish.calendar_rules import broken_rules
from everyrung.publish.content_lines import content_lines
from everyrung.publish.problem import Problem
from everyrung.terms.errors import Invalid, require
from everyrung.terms.session import Session

PRODID = "-//Everyrung//Everyrung//EN"
MOST_WEEKS = 520  # chosen, because a block of more than ten years is a typing slip
MOST_MINUTES = 1440  # chosen, because a class of more than a day is a typing slip


@dataclass(frozen=True, slots=True, kw_only=True)
class Series:
    """A class at the same wall time each week, `weeks` times. `summary` is what the class is. Raises Invalid."""

    title: str
    starts: datetime
    minutes: int
    weeks: int
    summary: str
    place: str

    def __post_init__(self) -> None:
        require(bool(self.title.strip()), "title", "a title", self.title)
        named = isinstance(self.starts.tzinfo, ZoneInfo) and bool(self.starts.tzinfo.key)
        require(named, "starts", "a time with a named zone such as Europe/Helsinki", self.starts)
        require(1 <= self.minutes <= MOST_MINUTES, "minutes", f"1 to {MOST_MINUTES}", self.minutes)
        require(1 <= self.weeks <= MOST_WEEKS, "weeks", f"1 to {MOST_WEEKS}", self.weeks)
        require(self.starts.year < 9999 - MOST_WEEKS // 52, "starts", "a year that calendars know", self.starts.year)

    @property
    def last(self) -> datetime:
        """The start of the last class, at the same time on the wall."""
        return self.starts + timedelta(weeks=self.weeks - 1)


def series_of(session: Session, starts: str, zone: str, weeks: int, place: str) -> Series:
    """A session's series from "2026-11-26 18:30" and a zone's name. Raises Invalid."""
    try:
        first = datetime.fromisoformat(starts).replace(tzinfo=ZoneInfo(zone))
    except (ValueError, ZoneInfoNotFoundError, OSError):
        usual = '"2026-11-26 18:30" and a zone such as Europe/Helsinki'
        raise Invalid("starts", usual, f"{starts} {zone}".strip(), remedy="Give both.") from None
    minutes, title = session.slot_ms // 60_000, session.title
    return Series(title=title, starts=first, minutes=minutes, weeks=weeks, summary=title, place=place)


def calendar(series: Series, uid: str, made_at: datetime) -> bytes:
    """The file. The same `uid` and a later `made_at` replace the series in people's calendars. Raises Invalid."""
    require(bool(uid.strip()) and uid.isprintable(), "uid", "an identifier that stays the same", uid)
    require(made_at.tzinfo is not None, "made_at", "a time with a zone", made_at)
    event = Event()
    event.add("uid", uid)
    event.add("dtstamp", made_at.astimezone(UTC).replace(microsecond=0))
    event.add("dtstart", series.starts.replace(microsecond=0))
    event.add("duration", timedelta(minutes=series.minutes))
    if series.weeks > 1:
        event.add("rrule", vRecur(freq="WEEKLY", until=series.last.astimezone(UTC).replace(microsecond=0)))
    event.add("summary", series.title)
    event.add("description", series.summary)
    event.add("location", series.place)
    made = Calendar()
    made.add("version", "2.0")
    made.add("prodid", PRODID)
    made.add_component(event)
    year = timedelta(days=366)  # chosen, because both clock changes of a year then stand in the zone's rules
    made.add_missing_timezones(first_date=(series.starts - year).date(), last_date=(series.last + year).date())
    return bytes(made.to_ical())


def check_calendar(content: bytes) -> tuple[Problem, ...]:
    """What other calendars may read wrongly in a file, by line; `repaired` says that the remedy's reading is safe."""
    lines, problems = content_lines(content)
    return tuple(sorted([*problems, *broken_rules(lines)], key=lambda each: each.line))
