"""Findings of one plan can be told apart by rule, what and where, whatever words they are said in."""

from pathlib import Path

import pytest

from everyrung.moves.library import standard_library
from everyrung.pipeline import run

ROOT = Path(__file__).parents[2]
PLANS = sorted((ROOT / "examples").glob("*.toml"))


@pytest.mark.parametrize("plan", PLANS, ids=lambda path: path.stem)
def test_no_two_findings_of_a_plan_are_one(plan: Path) -> None:
    found = [each.identity for each in run(plan, library=standard_library()).findings]
    assert len(set(found)) == len(found)
