"""Calendars: a class keeps its time on the wall, the last one is kept, and what others break is told."""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import icalendar
import pytest
import recurring_ical_events

from everyrung.publish.calendar import Series, calendar, check_calendar, content_lines
from everyrung.terms.errors import Invalid

HELSINKI = ZoneInfo("Europe/Helsinki")
MADE = datetime(2026, 1, 1, 9, 30, tzinfo=UTC)


def series(first: datetime, weeks: int, summary: str = "Bring a ball.") -> Series:
    return Series(title="Ball and wall", starts=first, minutes=45, weeks=weeks, summary=summary, place="Hall 2")


def classes(content: bytes) -> list[datetime]:
    """All starts, expanded by recurring-ical-events, which knows nothing of this project."""
    read = icalendar.Calendar.from_ical(content)
    found = recurring_ical_events.of(read).between(date(2025, 1, 1), date(2029, 1, 1))
    return sorted(event["DTSTART"].dt for event in found)


def file(*properties: str) -> bytes:
    """A file of one event with a UID and a DTSTAMP."""
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//t//t//EN", "BEGIN:VEVENT", "UID:a@x"]
    lines += ["DTSTAMP:20260101T000000Z", *properties, "END:VEVENT", "END:VCALENDAR", ""]
    return "\r\n".join(lines).encode()


def told(content: bytes) -> list[tuple[int, str]]:
    return [(each.line, each.what) for each in check_calendar(content)]


@pytest.mark.parametrize(
    ("first", "offsets"),
    [
        (datetime(2026, 10, 13, 18, 30, tzinfo=HELSINKI), [3, 3, 2, 2]),  # clocks go back on 25 October 2026
        (datetime(2027, 3, 16, 18, 30, tzinfo=HELSINKI), [2, 2, 3, 3]),  # clocks go forward on 28 March 2027
    ],
)
def test_a_class_at_half_past_six_stays_there_over_a_clock_change(first: datetime, offsets: list[int]) -> None:
    found = classes(calendar(series(first, 4), "a@x", MADE))
    assert [f"{each:%H:%M}" for each in found] == ["18:30"] * 4
    assert [each.utcoffset().total_seconds() / 3600 for each in found] == offsets


@pytest.mark.parametrize("weeks", [1, 2, 6, 52])
def test_the_last_class_is_kept(weeks: int) -> None:
    one = series(datetime(2026, 8, 1, 14, 0, tzinfo=ZoneInfo("Europe/London")), weeks)
    found = classes(calendar(one, "a@x", MADE))
    assert len(found) == weeks
    assert found[-1] == one.last


def test_the_zones_rules_are_in_the_file_and_right_without_the_readers_own() -> None:
    """The VTIMEZONE alone, under a name that no reader knows, still keeps the time on the wall."""
    made = calendar(series(datetime(2026, 10, 20, 18, 30, tzinfo=HELSINKI), 2), "a@x", MADE)
    found = classes(made.replace(b"Europe/Helsinki", b"Mars/Olympus"))
    assert [each.astimezone(UTC).hour for each in found] == [15, 16]


def test_lines_are_folded_within_75_bytes_and_never_inside_a_sign() -> None:
    """RFC 5545, section 3.1."""
    words = "Bring: 65 cm ball 🏐🏐, one dumbbell; wall space\n" * 9
    made = calendar(series(datetime(2026, 8, 1, 14, 0, tzinfo=HELSINKI), 3, words), "a@x", MADE)
    assert made.endswith(b"\r\n")
    for line in made.split(b"\r\n"):
        assert len(line) <= 75
        line.decode("utf-8")
    (event,) = icalendar.Calendar.from_ical(made).walk("VEVENT")
    assert event["DESCRIPTION"] == words


def test_uid_and_dtstamp_are_those_given_and_the_file_is_the_same_each_time() -> None:
    one = series(datetime(2026, 8, 1, 14, 0, tzinfo=HELSINKI), 3)
    made = calendar(one, "tuesdays@x", MADE)
    (event,) = icalendar.Calendar.from_ical(made).walk("VEVENT")
    assert (event["UID"], event["DTSTAMP"].dt) == ("tuesdays@x", MADE)
    assert made == calendar(one, "tuesdays@x", MADE)


def test_our_own_calendars_have_no_problem() -> None:
    words = "Bring: 65 cm ball 🏐🏐, one dumbbell; wall space\n" * 9
    made = calendar(series(datetime(2026, 8, 1, 14, 0, tzinfo=HELSINKI), 30, words), "a@x", MADE)
    assert check_calendar(made) == ()


def test_a_time_without_a_named_zone_is_refused() -> None:
    for first in (datetime(2026, 8, 1, 14, 0), datetime(2026, 8, 1, 14, 0, tzinfo=UTC)):
        with pytest.raises(Invalid, match="named zone"):
            series(first, 3)


def test_a_calendar_without_a_uid_or_with_a_time_of_no_zone_is_refused() -> None:
    one = series(datetime(2026, 8, 1, 14, 0, tzinfo=HELSINKI), 3)
    with pytest.raises(Invalid):
        calendar(one, " ", MADE)
    with pytest.raises(Invalid):
        calendar(one, "a@x", MADE.replace(tzinfo=None))


def test_f23_a_zone_without_its_rules_is_told_and_read_by_its_name() -> None:
    content = file("DTSTART;TZID=Europe/Berlin:20261013T183000", "RRULE:FREQ=WEEKLY;COUNT=4")
    (problem,) = check_calendar(content)
    assert (problem.line, problem.what, problem.put_right) == (7, "zone", True)


def test_f24_until_as_a_date_is_told_and_what_is_advised_keeps_the_last_class() -> None:
    """recurring-ical-events drops the last class of the file as it is, and keeps it as we advise."""
    rule = "RRULE:FREQ=WEEKLY;UNTIL=20260815;BYDAY=SA"
    content = file("DTSTART;TZID=Europe/London:20260801T140000", "DTEND;TZID=Europe/London:20260801T150000", rule)
    (problem,) = [each for each in check_calendar(content) if each.what == "UNTIL"]
    assert (problem.line, problem.put_right) == (9, True)
    advised = problem.remedy.split("UNTIL=")[1].rstrip(".")
    assert advised == "20260815T225959Z"
    days = [each.day for each in classes(content.replace(b"UNTIL=20260815;", f"UNTIL={advised};".encode()))]
    assert days == [1, 8, 15]


def test_floating_times_and_an_exdate_of_another_type_are_told() -> None:
    rule, without = "RRULE:FREQ=WEEKLY;COUNT=3", "EXDATE:20260113T082500Z"
    content = file("DTSTART:20260106T082500", "DTEND:20260106T091000", rule, without)
    assert told(content) == [(7, "floating time"), (10, "EXDATE")]


@pytest.mark.parametrize(
    ("start", "rest", "expected"),
    [
        ("DTSTART:20260106T082500Z", "EXDATE;VALUE=DATE:20260113", [(8, "EXDATE")]),
        ("DTSTART:20260106T082500Z", "EXDATE:20260113T082500Z,20260120T082500Z", []),
        ("DTSTART;VALUE=DATE:20260106", "EXDATE;VALUE=DATE:20260113", []),
        ("DTSTART;VALUE=DATE:20260106", "RRULE:FREQ=WEEKLY;UNTIL=20260301", []),
        ("DTSTART;VALUE=DATE:20260106", "RRULE:FREQ=WEEKLY;UNTIL=20260301T000000Z", [(8, "UNTIL")]),
        ("DTSTART:20260106T082500Z", "RRULE:FREQ=WEEKLY;UNTIL=20260301T082500", [(8, "UNTIL")]),
        ("DTSTART:20260106T082500Z", "RRULE:FREQ=WEEKLY;UNTIL=20260301T082500Z;COUNT=3", [(8, "RRULE")]),
        ("DTSTART:20260106T082500Z", "RRULE:FREQ=WEEKLY;UNTIL=20260230", [(8, "UNTIL")]),
        ("DTSTART:tomorrow", "SUMMARY:x", [(7, "DTSTART")]),
        ("SUMMARY:x", "no property", [(4, "DTSTART"), (8, "line")]),
    ],
)
def test_types_of_start_end_and_exceptions_must_agree(start: str, rest: str, expected: list[tuple[int, str]]) -> None:
    assert told(file(start, rest)) == expected


def test_f26_a_sign_split_by_folding_is_read_whole_and_told() -> None:
    whole = file("DTSTART:20260110T090000Z", "SUMMARY:65 cm ball 🟢 one")
    split = whole.replace("🟢".encode(), b"\xf0\x9f\r\n \x9f\xa2")
    assert told(split) == [(9, "fold")]
    assert [each.value for each in content_lines(split)[0] if each.name == "SUMMARY"] == ["65 cm ball 🟢 one"]


def test_a_fold_between_signs_is_no_problem() -> None:
    content = file("DTSTART:20260110T090000Z", "SUMMARY:x", "DESCRIPTION:Bring: 65 cm bal\r\n l 🟢\\, one\r\n  more")
    assert told(content) == []


@pytest.mark.parametrize("missing", ["UID", "DTSTAMP"])
def test_a_missing_identifier_or_date_of_making_is_told(missing: str) -> None:
    lines = file("DTSTART:20260110T090000Z").split(b"\r\n")
    content = b"\r\n".join(line for line in lines if not line.startswith(missing.encode()))
    assert told(content) == [(4, missing)]


def test_properties_of_an_alarm_are_not_the_events() -> None:
    alarm = ["BEGIN:VALARM", "UID:b@x", "TRIGGER:-PT15M", "END:VALARM"]
    content = file("DTSTART:20260110T090000Z", *alarm).replace(b"UID:a@x\r\n", b"")
    assert told(content) == [(4, "UID")]


def test_a_cut_file_and_one_that_is_no_calendar_are_told() -> None:
    assert told(b"") == [(1, "file")]
    assert told(b"hello") == [(1, "file"), (1, "line")] or told(b"hello") == [(1, "line"), (1, "file")]
    cut = file("DTSTART:20260110T090000Z").split(b"END:VEVENT")[0]
    assert told(cut) == [(1, "END"), (4, "END")]


def test_line_feeds_alone_and_long_lines_are_told_once() -> None:
    content = file("DTSTART:20260110T090000Z", "SUMMARY:" + "x" * 80).replace(b"\r\n", b"\n")
    assert told(content) == [(1, "line break"), (8, "length")]
