"""What a block clashes with, in a sentence with the nearest that works. Clock changes: the zone database of IANA."""

from datetime import date, time

import pytest

from everyrung.blocks.clashes import check_clock, clashes, wish_that_helps
from everyrung.moves.library import standard_library
from everyrung.proposals.columns import RungsWithLevers
from everyrung.terms.block_brief import BlockBrief, Weekday, WeeklyEvening
from everyrung.terms.enums import Pattern
from everyrung.terms.errors import Invalid
from everyrung.terms.session_brief import SessionBrief


def brief(starts: time, *, weekday: Weekday = Weekday.SUNDAY, **more: object) -> BlockBrief:
    weekly = (WeeklyEvening(day=weekday, starts=starts, session=SessionBrief(minutes=45)),)
    fields: dict = {"title": "Block", "first": date(2027, 3, 1), "weeks": 6, "weekly": weekly, **more}
    return BlockBrief(**fields)


def test_a_time_that_the_clock_leaps_over_has_the_nearest_beside_it() -> None:
    """On 28 March 2027 clocks in Finland go from 3:00 to 4:00."""
    with pytest.raises(Invalid) as caught:
        check_clock(brief(time(3, 30), zone="Europe/Helsinki"))
    assert "2027-03-28 03:30" in str(caught.value)
    assert caught.value.nearest == "04:30"
    check_clock(brief(time(18, 30), zone="Europe/Helsinki"))


def test_a_time_that_the_clock_has_twice() -> None:
    """On 31 October 2027 clocks in Finland go from 4:00 back to 3:00."""
    with pytest.raises(Invalid, match="twice"):
        check_clock(brief(time(3, 30), zone="Europe/Helsinki", first=date(2027, 10, 11)))


def test_a_zone_that_there_is_not() -> None:
    with pytest.raises(Invalid) as caught:
        check_clock(brief(time(18, 30), zone="Europe/Helsinky"))
    assert caught.value.nearest == "Europe/Helsinki"


def test_two_blocks_at_one_place_at_one_time() -> None:
    one = brief(time(18, 30), place="Hall", title="Rowers")
    other = brief(time(19, 0), place="Hall", title="Juniors", weeks=4)
    sentences = list(clashes(one, [other]))
    assert len(sentences) == 4
    assert "Rowers and Juniors are both on 2027-03-07 at 18:30, Hall" in sentences[0]
    assert "nearest free time: 18:15" in sentences[0]  # 45 minutes before 19:00
    assert not list(clashes(one, [brief(time(19, 15), place="Hall")]))
    assert not list(clashes(one, [brief(time(19, 0), place="Pier")]))


def test_a_person_in_two_groups() -> None:
    one = brief(time(18, 30), place="Hall", people=("Aino", "Otto"))
    other = brief(time(18, 45), place="Pier", people=("otto ",))
    assert next(iter(clashes(one, [other]))).startswith("Otto cannot be in both")
    apart = brief(time(18, 45), place="Pier", weekday=Weekday.MONDAY, people=("Otto",))
    assert not list(clashes(one, [apart]))


def test_the_wish_that_leaves_a_pattern_without_versions_is_named() -> None:
    rungs = RungsWithLevers(library=standard_library())
    bridges = ("bridge", "ball-leg-curl", "band-bridge", "sliding-leg-curl")
    without = SessionBrief(exclude=bridges)
    assert wish_that_helps(without, rungs, Pattern.BRIDGE) == "the moves that are not wanted"
    assert wish_that_helps(SessionBrief(floor=False), rungs, Pattern.BRIDGE).startswith("people getting down")
