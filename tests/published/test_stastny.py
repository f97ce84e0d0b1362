"""Stastny 2015, JSCR 29(11):3177-87, and PMC8628027 (n = 26): loads in one hand.

Conditions and margins: docs/accuracy/studies.py; ranks and signs within the study only.
"""

import pytest
from studies import study


@pytest.mark.parametrize("key", ["EM03", "EM04"])
def test_the_model_ranks_as_stastny_measured(key: str) -> None:
    found = study(key).ask()
    assert found.met, found.numbers
