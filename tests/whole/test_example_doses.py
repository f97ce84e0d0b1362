"""What the middle person has left in the examples, and that nobody who comes is without a version.

No source outside the project: how many can finish is the model's (docs/accuracy-audience.md). What each plan is meant
to leave, and why (common practice), stands in docs/accuracy/example_doses.py; docs/rehearsal.md shows what it leaves.
"""

from pathlib import Path

import pytest
from example_doses import (
    NAMES,
    aim,
    aims_lines,
    clock_table,
    counted,
    doses_table,
    last_round,
    rehearsed,
)  # fmt: skip

PAGE = (Path(__file__).parents[2] / "docs" / "rehearsal.md").read_text(encoding="utf-8")

pytestmark = pytest.mark.slow


@pytest.mark.parametrize("name", NAMES)
def test_nobody_who_has_to_avoid_something_is_without_a_version(name: str) -> None:
    assert [str(each) for each in rehearsed(name).findings if each.rule == "limit-without-path"] == []


@pytest.mark.parametrize("name", NAMES)
def test_a_plan_of_ours_has_no_finding_from_the_rehearsal(name: str) -> None:
    """Neither too light nor too hard for whoever comes: no note on our own plans that we would leave as it is."""
    assert [str(each) for each in rehearsed(name).findings] == []


@pytest.mark.parametrize("name", NAMES)
def test_each_last_set_leaves_its_middle_person_what_it_is_meant_to(name: str) -> None:
    assert {each.set: each.left for each in counted(name) if not aim(name).holds(each.left)} == {}


def test_most_last_sets_are_held_from_both_sides() -> None:
    assert len([each for name in NAMES if aim(name).most is not None for each in counted(name)]) >= 35


@pytest.mark.parametrize("name", NAMES)
def test_half_of_those_who_come_can_do_every_last_set_as_it_is_led(name: str) -> None:
    assert {each.set: each.left for each in last_round(name) if each.left < 0} == {}


def test_the_page_shows_what_is_computed() -> None:
    for line in [*aims_lines(), *doses_table(), *clock_table()]:
        assert line in PAGE, f"write it anew: python docs/accuracy/example_doses.py\n{line}"
