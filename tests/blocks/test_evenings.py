"""The evenings of a block: days against the calendar, easier weeks against all that may be, and the test evening."""

from datetime import date, time, timedelta
from itertools import pairwise

import pytest

from everyrung.blocks.evenings import evenings_of, parts_of, twin_of
from everyrung.terms.block_brief import BlockBrief, EveningKind, Weekday, WeeklyEvening
from everyrung.terms.errors import Invalid
from everyrung.terms.session_brief import SessionBrief


def brief(weeks: int = 8, **more: object) -> BlockBrief:
    session = SessionBrief(minutes=45)
    weekly = tuple(
        WeeklyEvening(day=each, starts=time(18, 30), session=session) for each in (Weekday.MONDAY, Weekday.THURSDAY)
    )
    fields: dict = {"title": "Block", "first": date(2027, 1, 11), "weeks": weeks, "weekly": weekly, **more}
    return BlockBrief(**fields)


def test_days_are_those_of_the_calendar() -> None:
    evenings = evenings_of(brief(first=date(2027, 1, 13)))  # a Wednesday: week 1 begins with its Thursday
    assert [each.on.isoformat() for each in evenings[:3]] == ["2027-01-14", "2027-01-18", "2027-01-21"]
    assert {each.on.strftime("%A") for each in evenings} == {"Monday", "Thursday"}
    assert len(evenings) == 16


def test_closed_days_are_left_out_and_a_wrong_one_has_the_nearest_beside_it() -> None:
    days = [each.on for each in evenings_of(brief(days_off=(date(2027, 2, 18),)))]
    assert date(2027, 2, 18) not in days
    with pytest.raises(Invalid) as caught:
        evenings_of(brief(days_off=(date(2027, 2, 19),)))
    assert caught.value.nearest == "2027-02-18"


@pytest.mark.parametrize("weeks", range(4, 13))
def test_an_easier_week_each_four_to_six(weeks: int) -> None:
    """CN19: 5.6 +- 2.3 weeks apart."""
    easier = sorted({each.week for each in evenings_of(brief(weeks)) if each.kind is EveningKind.EASIER})
    if not easier:  # a block of four whose last evenings are the easier week and the test
        assert weeks == 4
    assert all(4 <= after - before <= 6 for before, after in pairwise((0, *easier)))
    assert not easier or weeks - easier[-1] <= 5


@pytest.mark.parametrize("weeks", range(5, 13))
def test_with_one_evening_a_week_the_test_does_not_take_the_easier_week_s_place(weeks: int) -> None:
    one = brief(weeks)
    evenings = evenings_of(brief(weeks, weekly=one.weekly[:1]))
    easier = [each.week for each in evenings if each.kind is EveningKind.EASIER]
    assert easier
    assert all(4 <= after - before <= 6 for before, after in pairwise((0, *easier)))
    assert evenings[-1].kind is EveningKind.TEST


def test_the_easier_week_is_the_one_with_an_evening_closed() -> None:
    for day, week in ((date(2027, 2, 18), 6), (date(2027, 2, 1), 4)):
        evenings = evenings_of(brief(days_off=(day,)))
        assert {each.week for each in evenings if each.kind is EveningKind.EASIER} == {week}


def test_the_last_evening_repeats_the_first_of_its_weekday() -> None:
    evenings = evenings_of(brief())
    assert [each.kind for each in evenings].count(EveningKind.TEST) == 1
    assert evenings[-1].kind is EveningKind.TEST
    assert twin_of(evenings[-1], evenings).on == date(2027, 1, 14)


def test_what_was_led_stays_what_it_was() -> None:
    closed = (date(2027, 2, 18),)
    known = {date(2027, 2, 1): EveningKind.EASIER, date(2027, 1, 25): EveningKind.BUILD}
    evenings = evenings_of(brief(days_off=closed), known)
    assert 4 in {each.week for each in evenings if each.kind is EveningKind.EASIER}


def test_moves_change_after_an_easier_week_with_weeks_to_come() -> None:
    parts = parts_of(evenings_of(brief(12)))
    assert parts[1] == 0
    assert parts[12] == max(parts.values()) >= 1
    short = parts_of(evenings_of(brief(days_off=(date(2027, 2, 18),))))
    assert set(short.values()) == {0}  # weeks 7 and 8 are too few for new moves


@pytest.mark.parametrize(
    ("more", "expected"),
    [
        ({"weeks": 3}, "4 to 12 weeks"),
        ({"title": " "}, "what the block is called"),
        ({"days_off": (date(2027, 2, 18),), "misses": (date(2027, 2, 18),)}, "not closed as well"),
    ],
)
def test_what_cannot_be_is_refused(more: dict, expected: str) -> None:
    with pytest.raises(Invalid, match=expected):
        evenings_of(brief(**more))


def test_no_evening_left() -> None:
    days = tuple(date(2027, 1, 11) + timedelta(days=7 * week + off) for week in range(4) for off in (0, 3))
    with pytest.raises(Invalid, match="an evening left"):
        evenings_of(brief(4, days_off=days))
