"""McCaw and Melrose 1999, MSSE 31(3):428-36: adductor longus works harder in a wide stance (the sign from memory, its
stances and what was integrated from the abstract).

Added after the two choices were made, so it is only reported (docs/accuracy/two_choices.py).
"""

from studies import study


def test_the_adductors_work_harder_in_a_wide_stance() -> None:
    found = study("mccaw1999").ask()
    assert found.met, found.numbers
