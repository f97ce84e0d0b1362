"""Places in words, and what names them apart when the words do not."""

import pytest

from everyrung.terms.enums import BlockKind, Side
from everyrung.terms.finding import MAX_NAMED, InCutOrder, Location, OfKind, WholeSession, location_words, name_list
from everyrung.terms.plan import Ref

LEFT = Ref(block="Main", round="Two", cell="lunge", side=Side.LEFT)


@pytest.mark.parametrize(
    ("place", "words"),
    [
        (Ref(block="Main", round="Two", cell="lunge"), "Main / Two / lunge"),
        (LEFT, "Main / Two / lunge / left"),
        (Ref(block="Warm-up", round="Warm-up", cell="march"), "Warm-up / march"),
        (Ref(block="Main", round="Two"), "Main / Two"),
        (Ref(block="Main"), "Main"),
        (OfKind(kind=BlockKind.MAIN), "main blocks"),
        (OfKind(kind=BlockKind.COOL_DOWN), "cool-down"),
        (InCutOrder(), "cut order"),
        (InCutOrder(ref=LEFT), "cut order: Main / Two / lunge / left"),
        (InCutOrder(ref=Ref(block="Warm-up", round="Warm-up", cell="march")), "cut order: Warm-up / march"),
        (WholeSession(), "whole session"),
    ],
)
def test_a_place_is_read_from_the_outside_in(place: Location, words: str) -> None:
    assert location_words((place,)) == words


def test_cells_of_one_column_are_said_together_and_each_once() -> None:
    lunges = [Ref(block="Main", round=name, cell="lunge") for name in ("One", "Two", "One")]
    row = Ref(block="Main", round="One", cell="row")
    assert location_words((lunges[0], row, *lunges)) == "Main / One, Two / lunge; Main / One / row"
    assert location_words((*lunges, LEFT)) == "Main / One, Two / lunge; Main / Two / lunge / left"


def test_too_many_columns_are_cut_with_the_number_left_out() -> None:
    cells = [Ref(block="Main", round="One", cell=f"cell {number}") for number in range(MAX_NAMED + 2)]
    said = location_words(cells).split("; ")
    assert said == [*(f"Main / One / cell {number}" for number in range(MAX_NAMED)), "2 more"]


def test_a_row_can_be_said_another_way() -> None:
    assert location_words((Ref(block="Main", round="Two", cell="lunge"), WholeSession()), "-".join) == (
        "Main-Two-lunge; whole session"
    )


def test_many_names_are_cut_with_the_number_left_out() -> None:
    names = [f"cell {number}" for number in range(MAX_NAMED + 2)]
    assert name_list(names[:MAX_NAMED]) == ", ".join(names[:MAX_NAMED])
    assert name_list(names) == ", ".join([*names[:MAX_NAMED], "2 more"])
    assert name_list(["row", "row", "press"]) == "row, press"
