"""Fry 2003, JSCR 17(4):629-33: 7 men, bar of body weight, knees free and held back.

Conditions and margins: docs/accuracy/studies.py; ranks and signs within the study only.
"""

import pytest
from studies import study


@pytest.mark.parametrize("key", ["JM01", "JM02"])
def test_the_model_ranks_as_fry_measured(key: str) -> None:
    found = study(key).ask()
    assert found.met, found.numbers
