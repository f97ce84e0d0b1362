"""Riemann 2012, J Athl Train (PMC3396296): lunges with 0 to 50 % of body weight.

Conditions and margins: docs/accuracy/studies.py; ranks and signs within the study only.
"""

import pytest
from studies import study


@pytest.mark.parametrize("key", ["JM05"])
def test_the_model_ranks_as_riemann_measured(key: str) -> None:
    found = study(key).ask()
    assert found.met, found.numbers
