"""Farrokhi 2008, JOSPT 38(7):403-9: the trunk forward in a lunge.

Conditions and margins: docs/accuracy/studies.py; ranks and signs within the study only.
"""

import pytest
from studies import study


@pytest.mark.parametrize("key", ["farrokhi2008"])
def test_the_model_ranks_as_farrokhi_measured(key: str) -> None:
    found = study(key).ask()
    assert found.met, found.numbers
