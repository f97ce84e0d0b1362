"""The file of a block: what is read, what is refused and where, and what is left alone."""

from datetime import date, time

import pytest

from everyrung.blocks.block_file import PLANNED, block_from_text, by_hand, earlier_of, with_missed
from everyrung.moves.library import standard_library
from everyrung.store.digest import digest
from everyrung.terms.block_brief import EveningKind, Weekday
from everyrung.terms.errors import Faults
from tests.blocks.conftest import HEAD

LIBRARY = standard_library()


def test_what_is_wanted_is_read() -> None:
    block = block_from_text(HEAD.replace('starts = "18:30"', 'starts = "7:05"', 1), "block.toml", LIBRARY)
    brief = block.brief
    assert (brief.title, brief.first, brief.weeks) == ("Boathouse block", date(2027, 1, 11), 6)
    assert [each.day for each in brief.weekly] == [Weekday.MONDAY, Weekday.THURSDAY]
    assert [each.starts for each in brief.weekly] == [time(7, 5), time(18, 30)]
    assert brief.days_off == (date(2027, 1, 21),)
    assert {each.session.minutes for each in brief.weekly} == {25}


def test_an_evening_has_words_of_its_own() -> None:
    block = block_from_text(HEAD + 'brief = "40 min, no floor, moonlight"\n', "block.toml", LIBRARY)
    monday, thursday = (each.session for each in block.brief.weekly)
    assert (monday.minutes, monday.floor) == (25, True)
    assert (thursday.minutes, thursday.floor, thursday.kit) == (40, False, monday.kit)
    assert block.unknown == "moonlight"


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("weeks = 6", "weeks = 13", ["block.toml:3: weeks", "4 to 12 weeks", "Nearest: 12"]),
        ('day = "Monday"', 'day = "Mondy"', ["weekly[1].day", "Nearest: Monday"]),
        ('day = "Monday"', 'day = "Thursday"', ["one evening a day"]),
        ("[2027-01-21]", '["21 January"]', ["block.toml:5: closed[1]", "a day such as 2027-01-11"]),
        ("25 min", "5 min", ["block.toml:4: brief", "10 to 120 minutes", "Nearest: 10"]),
        ('starts = "18:30"', 'starts = "25:30"', ["weekly[1].starts", 'a time such as "18:30"']),
        ("title =", "titel =", ["titel", "Nearest: title"]),
    ],
)
def test_a_mistake_has_its_line_and_what_would_do(old: str, new: str, words: list[str]) -> None:
    with pytest.raises(Faults) as caught:
        block_from_text(HEAD.replace(old, new, 1), "block.toml", LIBRARY)
    assert all(each in str(caught.value) for each in words), str(caught.value)


def evening(on: date, kind: str, text: str) -> str:
    fields = {"on": str(on), "kind": f'"{kind}"', "change": '""', "file": f'"{on}.toml"', "digest": f'"{digest(text)}"'}
    lines = [f"{name} = {value}" for name, value in {**fields, "at": "{}"}.items()]
    return "\n".join(["", "[[evening]]", *lines, ""])


def test_what_was_made_by_hand_stays_however_often_the_block_is_planned() -> None:
    """Once planned around it, its plan is the one that was written; it is the coach's all the same."""
    days = [date(2027, 1, 11), date(2027, 1, 14), date(2027, 1, 18)]
    kinds = ["build", "by hand", "build"]
    content = HEAD + PLANNED + "".join(evening(on, kind, "plan") for on, kind in zip(days, kinds, strict=True))
    block = block_from_text(content, "block.toml", LIBRARY)
    plans = dict(zip(days, ("plan", "plan", "mine"), strict=True))
    assert by_hand(block, plans) == {days[1], days[2]}
    earlier = earlier_of(block, plans, days[1])
    assert {on: stay.kind for on, stay in earlier.evenings.items()} == {
        days[0]: EveningKind.BUILD, days[1]: EveningKind.BY_HAND, days[2]: EveningKind.BY_HAND,
    }  # fmt: skip


def test_a_missed_evening_is_written_where_the_coach_wrote() -> None:
    block = with_missed(block_from_text(HEAD, "block.toml", LIBRARY), date(2027, 1, 25))
    assert "# away" in block.head
    again = block_from_text(block.head, "block.toml", LIBRARY)
    assert again.brief.misses == (date(2027, 1, 25),)
    assert again.brief.weekly == block.brief.weekly
    twice = with_missed(again, date(2027, 1, 18))
    assert block_from_text(twice.head, "block.toml", LIBRARY).brief.misses == (date(2027, 1, 18), date(2027, 1, 25))
