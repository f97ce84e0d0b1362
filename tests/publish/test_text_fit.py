"""Words are measured wide enough not to collide, and cut so that a reader sees that they are."""

import pytest

from everyrung.score.marks import cut, text_width, wrap


@pytest.mark.parametrize(
    ("word", "ems"),
    # advances of Hanken Grotesk SemiBold 0.0.2 added up by fontTools from its hmtx table, kerning left out
    [("Lunge", 0.52 + 0.56 + 0.56 + 0.51 + 0.52), ("10 lb", 0.57 * 2 + 0.25 + 0.28 + 0.58), ("M", 0.87)],
)
def test_a_width_is_the_fonts_and_a_tenth_more(word: str, ems: float) -> None:
    assert text_width(word, 10) == pytest.approx(11 * ems)


def test_wide_scripts_are_given_a_square_each() -> None:
    assert text_width("中文", 10) >= 20


def test_wrapping_keeps_every_word_or_says_no() -> None:
    lines = wrap("Split squat, one dumbbell in the opposite hand", 100, 10, 3)
    assert " ".join(lines) == "Split squat, one dumbbell in the opposite hand"
    assert all(text_width(line, 10) <= 100 for line in lines)
    assert wrap("Split squat, one dumbbell in the opposite hand", 100, 10, 2) == ()
    assert wrap("Incomprehensibilities", 40, 10, 3) == ()


def test_a_cut_shows_and_fits() -> None:
    assert cut("short", 100, 10) == "short"
    short = cut("a very long title that goes on", 80, 10)
    assert short.endswith("…")
    assert text_width(short, 10) <= 80
    assert cut("wide", 2, 10) == ""
