"""Rules of RFC 5545 that calendars of classes break, each with the line and the reading that was meant."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from everyrung.publish.content_lines import ContentLine
from everyrung.publish.problem import Problem

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
        yield _told(1, "file", "BEGIN:VCALENDAR", lines[0].name if lines else "nothing", "Choose an .ics file.")
        return
    components, unclosed = _components(lines)
    yield from unclosed
    zones = {zone.value for each in components if each.name == "VTIMEZONE" and (zone := each.one("TZID"))}
    yield from _unknown_zones(lines, zones)
    for each in components:
        if each.name == "VEVENT":
            yield from _event(each)


def _components(lines: Sequence[ContentLine]) -> tuple[list[_Component], list[Problem]]:
    found: list[_Component] = []
    problems: list[Problem] = []
    open_: list[_Component] = []
    for line in lines:
        if line.name == "BEGIN":
            open_.append(_Component(name=line.value.strip().upper(), line=line.line))
            found.append(open_[-1])
        elif line.name == "END" and open_ and open_[-1].name == line.value.strip().upper():
            open_.pop()
        elif line.name == "END":
            expected = f"END:{open_[-1].name}" if open_ else "the end of the file"
            problems.append(_told(line.line, "END", expected, line.value, "Put each END below its BEGIN."))
        elif open_:
            open_[-1].own.append(line)
    remedy = "The file is cut off: fetch it again."
    problems += [_told(each.line, "END", f"END:{each.name} further down", "none", remedy) for each in open_]
    return found, problems


def _unknown_zones(lines: Sequence[ContentLine], known: set[str]) -> Iterator[Problem]:
    """RFC 5545, section 3.2.19: a VTIMEZONE for each TZID. Told once for each."""
    told: set[str] = set()
    for line in lines:
        zone = line.parameters.get("TZID", "")
        if not zone or zone in known or zone in told:
            continue
        told.add(zone)
        expected, got = f"a VTIMEZONE for {zone}", "none"
        if _zone(zone) is None:
            yield _told(line.line, "zone", expected, got, "Nobody can tell the time: add it, or use a name of IANA's.")
        else:
            yield _told(line.line, "zone", expected, got, "Read by its IANA name. Add it.", repaired=True)


def _event(event: _Component) -> Iterator[Problem]:
    for name, use in (("UID", "the series cannot be replaced"), ("DTSTAMP", "nobody can tell which version is newer")):
        if (found := event.one(name)) is None or not found.value.strip():
            yield _told(event.line, name, f"{name} in the event", "none", f"Without it {use}: add it.")
    start = event.one("DTSTART")
    if start is None:
        yield _told(event.line, "DTSTART", "DTSTART in the event", "none", "Add when the class begins.")
        return
    form = _form(start, start.value)
    if not form:
        yield _told(start.line, "DTSTART", "20260113T183000 with a zone", start.value, "Mend the time.")
        return
    if form == "a floating time":
        remedy = "It moves with whoever reads it: add TZID, or say which zone is meant."
        yield _told(start.line, "floating time", "a time with a zone", start.value, remedy)
    yield from _excluded(event, start, form)
    for rule in event.own:
        if rule.name == "RRULE":
            yield from _rule(rule, start, form)


def _excluded(event: _Component, start: ContentLine, form: str) -> Iterator[Problem]:
    """RFC 5545, section 3.8.5.1: an exception is of the start's type, else it takes nothing out."""
    for line in event.own:
        for value in line.value.split(",") if line.name == "EXDATE" else ():
            got = _form(line, value) or "no time"
            if got != form:
                remedy = f"Most calendars leave the class in: write it as DTSTART is written ({start.value})."
                yield _told(line.line, "EXDATE", f"{form}, as DTSTART", f"{got} ({value})", remedy)


def _rule(rule: ContentLine, start: ContentLine, form: str) -> Iterator[Problem]:
    """RFC 5545, section 3.3.10: UNTIL is a date for a date, floating for floating, and in UTC for anything else."""
    parts = dict(part.upper().split("=", 1) for part in rule.value.split(";") if "=" in part)
    until = parts.get("UNTIL", "")
    if until and "COUNT" in parts:
        yield _told(rule.line, "RRULE", "UNTIL or COUNT", "both", "Keep one of them.")
    expected = form if form in ("a date", "a floating time") else "a time in UTC"
    got = _form(rule, until)
    if not until or got == expected:
        return
    if got == "a date":
        remedy = f"Read as all of that day, so that its class is kept. Write UNTIL={_day_end(until, start, form)}."
        yield _told(rule.line, "UNTIL", expected, f"{got} ({until})", remedy, repaired=True)
    else:
        remedy = "Calendars differ on the last class: write it as expected."
        yield _told(rule.line, "UNTIL", expected, f"{got or 'no time'} ({until})", remedy)


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
    found = next((name for form, name in _FORMS.items() if re.fullmatch(form, value.strip())), "")
    zone = line.parameters.get("TZID", "")
    return _IN_ZONE + zone if zone and found == "a floating time" else found


def _zone(name: str) -> ZoneInfo | None:
    try:
        return ZoneInfo(name) if name else None
    except (ValueError, OSError, KeyError):  # a name with odd signs, a folder, a name that nobody knows
        return None


def _told(line: int, what: str, expected: str, got: str, remedy: str, *, repaired: bool = False) -> Problem:
    return Problem(line=line, what=what, expected=expected, got=got, repaired=repaired, remedy=remedy)
