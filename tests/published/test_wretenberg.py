"""Wretenberg 1996, MSSE 28(2):218-24: deep and parallel squat at 65 % of the greatest load.

Conditions and margins: docs/accuracy/studies.py; ranks and signs within the study only.
"""

import pytest
from studies import study


def test_the_model_ranks_as_wretenberg_measured_jm03() -> None:
    found = study("JM03").ask()
    assert found.met, found.numbers


@pytest.mark.xfail(strict=True, reason="a miss: 0.90: the hip loses a tenth")
def test_the_model_ranks_as_wretenberg_measured_jm04() -> None:
    found = study("JM04").ask()
    assert found.met, found.numbers
