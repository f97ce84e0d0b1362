"""Distefano 2009, JOSPT 39(7):532-540: 21 people, body weight, mean signal.

Conditions and margins: docs/accuracy/studies.py; ranks and signs within the study only.
"""

import pytest
from studies import study


@pytest.mark.xfail(strict=True, reason="a miss: the one-foot squat leans over its foot, 28 % against the hinge's 36")
def test_the_model_ranks_as_distefano_measured_em01() -> None:
    found = study("EM01").ask()
    assert found.met, found.numbers


def test_the_model_ranks_as_distefano_measured_em02() -> None:
    found = study("EM02").ask()
    assert found.met, found.numbers
