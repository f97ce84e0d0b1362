"""A block as a calendar, read back by recurring-ical-events and icalendar; and brought up to date (RFC 5546)."""

from dataclasses import replace
from datetime import UTC, date, datetime, time
from pathlib import Path

import icalendar
import pytest
import recurring_ical_events

from everyrung.blocks.evenings import evenings_of, parts_of
from everyrung.blocks.search import Block
from everyrung.blocks.skeleton import Skeleton
from everyrung.blocks.steps import Steps
from everyrung.blocks.whole_evening import EveningPlan
from everyrung.pipeline import run
from everyrung.publish.block_calendar import block_calendar
from everyrung.publish.calendar import check_calendar
from everyrung.terms.block_brief import BlockBrief, Weekday, WeeklyEvening
from everyrung.terms.errors import Invalid
from everyrung.terms.session_brief import SessionBrief

MADE, LATER = datetime(2027, 2, 1, 9, tzinfo=UTC), datetime(2027, 3, 2, 9, tzinfo=UTC)
PLAN = Path(__file__).parents[2] / "examples" / "boathouse-30.toml"


@pytest.fixture(scope="module")
def block() -> Block:
    """A block over the change of clocks, each evening with the boathouse's half hour."""
    weekly = (WeeklyEvening(day=Weekday.THURSDAY, starts=time(18, 30), session=SessionBrief(minutes=30)),)
    brief = BlockBrief(
        title="Spring", first=date(2027, 3, 1), weeks=6, weekly=weekly, zone="Europe/Helsinki", place="Boathouse",
        link="https://example.org/spring",
    )  # fmt: skip
    analysis, evenings = run(PLAN), evenings_of(brief)
    plans = [EveningPlan(evening=each, source=each.on, text="", run=analysis, columns=()) for each in evenings]
    return Block(
        brief=brief,
        evenings=tuple(plans),
        parts=parts_of(evenings),
        skeleton=Skeleton(columns={}, gives_up=(), worth=1.0, bound=1.0),
        steps=Steps(places={}, levers={}, growth={}, gives_up=(), worth=1.0, bound=1.0),
        gives_up=(),
        places={},
    )


def events(content: bytes) -> dict[date, icalendar.Event]:
    calendar = icalendar.Calendar.from_ical(content)
    return {each["dtstart"].dt.date(): each for each in calendar.walk("VEVENT")}


def test_every_evening_is_at_its_time_on_the_wall_with_title_kit_and_link(block: Block) -> None:
    content = block_calendar(block, MADE)
    starts = sorted(
        each["DTSTART"].dt
        for each in recurring_ical_events.of(icalendar.Calendar.from_ical(content)).between((2027, 1, 1), (2028, 1, 1))
    )
    assert [f"{each:%Y-%m-%d %H:%M %z}" for each in starts][3:5] == ["2027-03-25 18:30 +0200", "2027-04-01 18:30 +0300"]
    assert len(starts) == 6
    first = events(content)[date(2027, 3, 4)]
    assert first["summary"] == "Spring, week 1"
    assert "Bring: " in first["description"]
    assert "https://example.org/spring" in first["description"]
    assert not check_calendar(content)


def test_made_again_nothing_changes(block: Block) -> None:
    content = block_calendar(block, MADE)
    assert block_calendar(block, LATER, content) == content


def test_what_changed_has_a_higher_sequence_and_what_is_no_more_is_cancelled(block: Block) -> None:
    content = block_calendar(block, MADE)
    plans = [each for each in block.evenings if each.evening.on != date(2027, 3, 11)]
    later = replace(block, evenings=tuple(plans), brief=replace(block.brief, place="Pier"))
    after = events(block_calendar(later, LATER, content))
    assert after[date(2027, 3, 11)]["status"] == "CANCELLED"
    assert {each["sequence"] for each in after.values()} == {1}
    assert {each["location"] for on, each in after.items() if on != date(2027, 3, 11)} == {"Pier"}
    assert {str(each["uid"]) for each in after.values()} == {str(each["uid"]) for each in events(content).values()}
    back = events(block_calendar(block, LATER, block_calendar(later, LATER, content)))
    assert back[date(2027, 3, 11)]["status"] == "CONFIRMED"
    assert back[date(2027, 3, 11)]["sequence"] == 2


def test_without_a_zone_there_is_no_calendar(block: Block) -> None:
    with pytest.raises(Invalid, match="zone"):
        block_calendar(replace(block, brief=replace(block.brief, zone="")), MADE)
