"""Names that people use for kit and moves (common practice, no source)."""

import pytest

from everyrung.moves.library import standard_library
from everyrung.moves.trade_names import is_measure, kit_by_name, kit_names, moves_by_name
from everyrung.terms.enums import KitItem


def test_no_name_means_two_things() -> None:
    names = [name for item in KitItem for name in kit_names(item)]
    assert len(names) == len(set(names))
    assert all(kit_by_name(name) is item for item in KitItem for name in kit_names(item))


@pytest.mark.parametrize(
    ("words", "first"),
    [
        ("press-ups", "push-up"),
        ("glute bridge", "bridge"),
        ("superman", "back-raise"),
        ("waiter bow", "hip-hinge"),
        ("heel raises", "calf-raise"),
        ("triceps dip", "chair-dip"),
        ("stir the pot", "ball-stir"),
    ],
)
def test_a_move_is_found_by_what_the_trade_calls_it(words: str, first: str) -> None:
    assert moves_by_name(standard_library(), words)[0].key == first


def test_what_is_no_move_finds_none_and_a_muscle_finds_several() -> None:
    assert moves_by_name(standard_library(), "moonlight") == ()
    assert moves_by_name(standard_library(), "") == ()
    assert len(moves_by_name(standard_library(), "calf")) > 3


@pytest.mark.parametrize("word", ["seconds", "secs", "kilos", "pounds", "lb", "degrees", "minutes", "cm", "metres"])
def test_a_number_before_a_measure_counts_nothing(word: str) -> None:
    assert is_measure(word)
    assert not is_measure("reps")
    assert not is_measure("side")
