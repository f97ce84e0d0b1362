"""Bezerra 2021: 12 women, 30 % of body weight in the hands.

Conditions and margins: docs/accuracy/studies.py; ranks and signs within the study only.
"""

from studies import study


def test_the_model_ranks_as_bezerra_measured() -> None:
    found = study("EM05").ask()
    assert found.met, found.numbers
