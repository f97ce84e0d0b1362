"""The constants that published checks decide are what their rule chooses (docs/accuracy/two_choices.py and
co_contraction.py).
"""

from pathlib import Path

import co_contraction
import pytest
from two_choices import FORCE_POWERS, FRICTION_WEIGHTS, choice, recorded, row, score, tried

from everyrung.body import antagonists, static_optimization

PAGE = (Path(__file__).parents[2] / "docs" / "accuracy-body.md").read_text(encoding="utf-8")
OURS = (static_optimization.FRICTION_WEIGHT, static_optimization.FORCE_POWER)


def test_the_constants_are_what_the_rule_takes_from_the_recorded_table() -> None:
    table = recorded(PAGE)
    assert set(table) == {(friction, power) for friction in FRICTION_WEIGHTS for power in FORCE_POWERS}
    assert choice(table) == OURS


def test_the_antagonists_share_is_what_the_rule_takes_from_its_table() -> None:
    table = co_contraction.recorded(PAGE)
    assert tuple(table) == co_contraction.SHARES
    assert co_contraction.choice(table) == antagonists.SHARE


def test_the_rule_takes_most_checks_met_and_only_among_equals_the_greater_margins() -> None:
    assert choice({(1.0, 0.0): (6, 0.9), (10.0, 0.0): (7, 0.1), (100.0, 0.0): (7, 0.2)}) == (100.0, 0.0)


@pytest.mark.slow
def test_the_recorded_table_is_what_the_checks_come_to_now() -> None:
    scores = {}
    for pair, found in tried():
        scores[pair] = score(found)
        assert row(pair, found) in PAGE, "write the table anew: python docs/accuracy/two_choices.py"
    assert choice(scores) == OURS
    assert (
        static_optimization.FRICTION_WEIGHT,
        static_optimization.FORCE_POWER,
    ) == OURS  # nothing is left changed for other tests


@pytest.mark.slow
def test_the_recorded_shares_are_what_the_checks_come_to_now() -> None:
    for share, found in co_contraction.tried():
        assert co_contraction.row(share, found) in PAGE, "write the table anew: python docs/accuracy/co_contraction.py"
    assert antagonists.SHARE in co_contraction.SHARES
