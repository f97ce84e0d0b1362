"""Places in words."""

import pytest

from everyrung.checks.places import MAX_NAMED, listed_and, named, place
from everyrung.terms.plan import Ref
from everyrung.terms.vocabulary import Side


@pytest.mark.parametrize(
    ("ref", "words"),
    [
        (Ref(block="Main", round="Two", cell="lunge"), "Main / Two / lunge"),
        (Ref(block="Main", round="Two", cell="lunge", side=Side.LEFT), "Main / Two / lunge / left"),
        (Ref(block="Warm-up", round="Warm-up", cell="march"), "Warm-up / march"),
        (Ref(block="Main", round="Two"), "Main / Two"),
        (Ref(block="Main"), "Main"),
    ],
)
def test_a_place_is_read_from_the_outside_in(ref: Ref, words: str) -> None:
    assert place(ref) == words


def test_many_names_are_cut_with_the_number_left_out() -> None:
    names = [f"cell {number}" for number in range(MAX_NAMED + 2)]
    assert named(names[:MAX_NAMED]) == ", ".join(names[:MAX_NAMED])
    assert named(names) == ", ".join([*names[:MAX_NAMED], "2 more"])
    assert named(["row", "row", "press"]) == "row, press"


def test_a_list_reads_as_it_is_spoken() -> None:
    assert [listed_and(words) for words in ([], ["a"], ["a", "b"], ["a", "b", "c"])] == [
        "",
        "a",
        "a and b",
        "a, b and c",
    ]
