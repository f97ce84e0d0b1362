"""A block of weekly classes as an iCalendar file (RFC 5545): the time on the wall is kept over the change of clocks.

Files from elsewhere are read as content lines (section 3.1), and each rule that calendars of classes break is named.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from icalendar import Calendar, Event
from icalendar.prop import vRecur

from everyrung.publish.problem import Problem
from everyrung.terms.errors import Invalid, require
from everyrung.terms.session import Session

MOST_OCTETS = 75  # RFC 5545, section 3.1: without the line break
_NAMED = re.compile(r'([A-Za-z0-9-]+)((?:;[A-Za-z0-9-]+=(?:"[^"]*"|[^";:])*)*):(.*)', re.DOTALL)
_PARAMETER = re.compile(r';([A-Za-z0-9-]+)=((?:"[^"]*"|[^";:])*)')


@dataclass(frozen=True, slots=True, kw_only=True)
class ContentLine:
    """A property: `line` is where it begins in the file; names in capitals, the value as written."""

    line: int
    name: str
    parameters: Mapping[str, str]
    value: str


def content_lines(content: bytes) -> tuple[list[ContentLine], list[Problem]]:
    """Every property of the file. A sign of several bytes may be folded in its middle, so bytes are joined first."""
    problems: list[Problem] = []
    properties: list[ContentLine] = []
    for line, parts in _unfold(content, problems):
        content_line = b"".join(parts)
        if not content_line.strip():
            continue
        _split_sign(line, parts, problems)
        try:
            text = content_line.decode("utf-8")
        except UnicodeDecodeError:
            text = content_line.decode("cp1252", errors="replace")
            problems.append(_problem(line, "encoding", "UTF-8", text, "Read as Windows-1252: check the letters."))
        if (match := _NAMED.fullmatch(text)) is None:
            problems.append(_problem(line, "line", "NAME:value", text, "Take the line out.", put_right=False))
            continue
        parameters = {name.upper(): value.strip('"') for name, value in _PARAMETER.findall(match[2])}
        properties.append(ContentLine(line=line, name=match[1].upper(), parameters=parameters, value=match[3]))
    return properties, problems


def _unfold(content: bytes, problems: list[Problem]) -> list[tuple[int, list[bytes]]]:
    """The physical lines of each content line, with the number of the first; wrong breaks and lengths once."""
    raw = content.removeprefix(b"\xef\xbb\xbf").split(b"\n")
    bare = next((number for number, line in enumerate(raw[:-1], 1) if not line.endswith(b"\r")), 0)
    lines = [line.removesuffix(b"\r") for line in raw]
    long = next((number for number, line in enumerate(lines, 1) if len(line) > MOST_OCTETS), 0)
    if bare:
        problems.append(_problem(bare, "line break", "CR and LF", "LF alone", "Some calendars refuse the file."))
    if long:
        expected, got = f"at most {MOST_OCTETS} bytes", f"{len(lines[long - 1])} bytes"
        problems.append(
            _problem(long, "length", expected, got, "Fold it: a line break and a space between two characters.")
        )
    result: list[tuple[int, list[bytes]]] = []
    for number, line in enumerate(lines, 1):
        if result and line[:1] in (b" ", b"\t"):
            result[-1][1].append(line[1:])
        else:
            result.append((number, [line]))
    return result


def _split_sign(line: int, parts: list[bytes], problems: list[Problem]) -> None:
    """The first fold inside a sign of several bytes, reported with the line that begins in its middle."""
    for at, part in enumerate(parts[1:], 1):
        if part and part[0] & 0b1100_0000 == 0b1000_0000:
            got = "a fold inside a character of several bytes"
            problems.append(_problem(line + at, "fold", "folds between characters", got, "Joined before it was read."))
            return


def _problem(line: int, what: str, expected: str, got: str, remedy: str, *, put_right: bool = True) -> Problem:
    return Problem(line=line, what=what, expected=expected, got=got, put_right=put_right, remedy=remedy)


_FORMS = {r"\d{8}": "a date", r"\d{8}T\d{6}Z": "a time in UTC", r"\d{8}T\d{6}": "a floating time"}
_IN_ZONE = "a time in "


@dataclass(slots=True, kw_only=True)
class _Component:
    """A VEVENT or another component while it is read; properties of inner ones (alarms) are not its own."""

    name: str
    line: int
    own: list[ContentLine] = field(default_factory=list)

    def one(self, name: str) -> ContentLine | None:
        return next((each for each in self.own if each.name == name), None)


def broken_rules(lines: Sequence[ContentLine]) -> Iterator[Problem]:
    """The rules for the whole file, then for each event."""
    if not lines or (lines[0].name, lines[0].value.upper()) != ("BEGIN", "VCALENDAR"):
        yield _lasting_problem(
            1, "file", "BEGIN:VCALENDAR", lines[0].name if lines else "nothing", "Choose an .ics file."
        )
        return
    components, endless = _components(lines)
    yield from endless
    zones = {zone.value for each in components if each.name == "VTIMEZONE" and (zone := each.one("TZID"))}
    yield from _unknown_zones(lines, zones)
    for each in components:
        if each.name == "VEVENT":
            yield from _event(each)


def _components(lines: Sequence[ContentLine]) -> tuple[list[_Component], list[Problem]]:
    components: list[_Component] = []
    problems: list[Problem] = []
    open_: list[_Component] = []
    for line in lines:
        if line.name == "BEGIN":
            open_.append(_Component(name=line.value.strip().upper(), line=line.line))
            components.append(open_[-1])
        elif line.name == "END" and open_ and open_[-1].name == line.value.strip().upper():
            open_.pop()
        elif line.name == "END":
            expected = f"END:{open_[-1].name}" if open_ else "the end of the file"
            problems.append(_lasting_problem(line.line, "END", expected, line.value, "Put each END below its BEGIN."))
        elif open_:
            open_[-1].own.append(line)
    remedy = "The file is cut off: fetch it again."
    problems += [_lasting_problem(each.line, "END", f"END:{each.name} further down", "none", remedy) for each in open_]
    return components, problems


def _unknown_zones(lines: Sequence[ContentLine], zones: set[str]) -> Iterator[Problem]:
    """RFC 5545, section 3.2.19: a VTIMEZONE for each TZID. Reported once for each."""
    reported_zones: set[str] = set()
    for line in lines:
        zone = line.parameters.get("TZID", "")
        if not zone or zone in zones or zone in reported_zones:
            continue
        reported_zones.add(zone)
        expected, got = f"a VTIMEZONE for {zone}", "none"
        if _zone(zone) is None:
            yield _lasting_problem(
                line.line, "zone", expected, got, "Nobody can tell the time: add it, or use a name of IANA's."
            )
        else:
            yield _lasting_problem(line.line, "zone", expected, got, "Read by its IANA name. Add it.", put_right=True)


def _event(event: _Component) -> Iterator[Problem]:
    for name, use in (("UID", "the series cannot be replaced"), ("DTSTAMP", "nobody can tell which version is newer")):
        if (entry := event.one(name)) is None or not entry.value.strip():
            yield _lasting_problem(event.line, name, f"{name} in the event", "none", f"Without it {use}: add it.")
    start = event.one("DTSTART")
    if start is None:
        yield _lasting_problem(event.line, "DTSTART", "DTSTART in the event", "none", "Add when the class begins.")
        return
    form = _form(start, start.value)
    if not form:
        yield _lasting_problem(start.line, "DTSTART", "20260113T183000 with a zone", start.value, "Mend the time.")
        return
    if form == "a floating time":
        remedy = "It moves with whoever reads it: add TZID, or say which zone is meant."
        yield _lasting_problem(start.line, "floating time", "a time with a zone", start.value, remedy)
    yield from _exclusion_problems(event, start, form)
    for rule in event.own:
        if rule.name == "RRULE":
            yield from _rule(rule, start, form)


def _exclusion_problems(event: _Component, start: ContentLine, form: str) -> Iterator[Problem]:
    """RFC 5545, section 3.8.5.1: an exception is of the start's type, else it takes nothing out."""
    for line in event.own:
        for value in line.value.split(",") if line.name == "EXDATE" else ():
            got = _form(line, value) or "no time"
            if got != form:
                remedy = f"Most calendars leave the class in: write it as DTSTART is written ({start.value})."
                yield _lasting_problem(line.line, "EXDATE", f"{form}, as DTSTART", f"{got} ({value})", remedy)


def _rule(rule: ContentLine, start: ContentLine, form: str) -> Iterator[Problem]:
    """RFC 5545, section 3.3.10: UNTIL is a date for a date, floating for floating, and in UTC for anything else."""
    parts = dict(part.upper().split("=", 1) for part in rule.value.split(";") if "=" in part)
    until = parts.get("UNTIL", "")
    if until and "COUNT" in parts:
        yield _lasting_problem(rule.line, "RRULE", "UNTIL or COUNT", "both", "Keep one of them.")
    expected = form if form in ("a date", "a floating time") else "a time in UTC"
    got = _form(rule, until)
    if not until or got == expected:
        return
    if got == "a date":
        remedy = f"Read as all of that day, so that its class is kept. Write UNTIL={_day_end(until, start, form)}."
        yield _lasting_problem(rule.line, "UNTIL", expected, f"{got} ({until})", remedy, put_right=True)
    else:
        remedy = "Calendars differ on the last class: write it as expected."
        yield _lasting_problem(rule.line, "UNTIL", expected, f"{got or 'no time'} ({until})", remedy)


def _day_end(day: str, start: ContentLine, form: str) -> str:
    """The last second of a day where the class is, as the rule needs it."""
    zone = _zone(start.parameters.get("TZID", "")) or UTC
    if form == "a floating time":
        return f"{day}T235959"
    try:
        end = datetime(int(day[:4]), int(day[4:6]), int(day[6:]), 23, 59, 59, tzinfo=zone).astimezone(UTC)
    except (ValueError, OverflowError):
        return "a day of the calendar"
    return f"{end:%Y%m%dT%H%M%SZ}"


def _form(line: ContentLine, value: str) -> str:
    """What kind of time a value is; nothing when it is none."""
    name = next((name for form, name in _FORMS.items() if re.fullmatch(form, value.strip())), "")
    zone = line.parameters.get("TZID", "")
    return _IN_ZONE + zone if zone and name == "a floating time" else name


def _zone(name: str) -> ZoneInfo | None:
    try:
        return ZoneInfo(name) if name else None
    except (ValueError, OSError, KeyError):  # a name with odd signs, a folder, a name that nobody knows
        return None


def _lasting_problem(line: int, what: str, expected: str, got: str, remedy: str, *, put_right: bool = False) -> Problem:
    return Problem(line=line, what=what, expected=expected, got=got, put_right=put_right, remedy=remedy)


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
        has_zone = isinstance(self.starts.tzinfo, ZoneInfo) and bool(self.starts.tzinfo.key)
        require(has_zone, "starts", "a time with a named zone such as Europe/Helsinki", self.starts)
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
    file = Calendar()
    file.add("version", "2.0")
    file.add("prodid", PRODID)
    file.add_component(event)
    year = timedelta(days=366)  # chosen, because both clock changes of a year then stand in the zone's rules
    file.add_missing_timezones(first_date=(series.starts - year).date(), last_date=(series.last + year).date())
    return bytes(file.to_ical())


def check_calendar(content: bytes) -> tuple[Problem, ...]:
    """What other calendars may read wrongly in a file, by line; `repaired` says that the remedy's reading is safe."""
    lines, problems = content_lines(content)
    return tuple(sorted([*problems, *broken_rules(lines)], key=lambda each: each.line))
