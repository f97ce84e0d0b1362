"""Hinds 2011, BJSM 45(2):e1.56, 14 people, and Qiao 2021, J Korean Soc Phys Med 16(1):23-31, 15 people: wall squats.

Conditions and margins: docs/accuracy/studies.py; ranks and signs within the study only.
"""

import pytest
from studies import study


@pytest.mark.parametrize("key", ["EM08"])
def test_the_model_ranks_as_hinds_measured(key: str) -> None:
    found = study(key).ask()
    assert found.met, found.numbers


def test_the_model_ranks_as_hinds_measured_em07() -> None:
    found = study("EM07").ask()
    assert found.met, found.numbers
