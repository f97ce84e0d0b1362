"""Farrokhi 2008, JOSPT 38(7):403-9: the trunk forward in a lunge.

Conditions and margins: docs/accuracy/studies.py; ranks and signs within the study only.
"""

import pytest
from studies import study


@pytest.mark.xfail(strict=True, reason="a miss: the gluteus maximus falls, 40 to 33 %; hamstrings stay at 3 %")
def test_the_model_ranks_as_farrokhi_measured() -> None:
    found = study("farrokhi2008").ask()
    assert found.met, found.numbers
