"""Schutz 2014 (step length, from memory) and Lynn and Noffal 2012, JSCR 26(9):2417-25 (load in front, from memory).

Conditions and margins: docs/accuracy/studies.py; ranks and signs within the study only.
"""

import pytest
from studies import study


@pytest.mark.parametrize("key", ["schutz2014", "lynn2012"])
def test_the_model_ranks_as_step_and_reach_measured(key: str) -> None:
    found = study(key).ask()
    assert found.met, found.numbers
