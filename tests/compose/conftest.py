"""Remedies of a plan, pressed as the studio does it; and plans of every kind (tests/whole/any_plan.py)."""

import runpy
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from any_plan import plan_number

from everyrung.compose.case import Case, Remedy
from everyrung.compose.mend import MOST_TRIALS, again, remedies
from everyrung.moves.library import standard_library
from everyrung.pipeline import Options, run_plan
from everyrung.plan.edit import apply_edit
from everyrung.plan.read import plan_from_text
from everyrung.results.analysis import Analysis
from everyrung.terms.finding import Finding
from everyrung.web.edit_form import edit_from, form_of

ROOT = Path(__file__).parents[2]
LIBRARY = standard_library()


def run_of(text: str, options: Options | None = None) -> Analysis:
    return run_plan(plan_from_text(text, "plan.toml"), library=LIBRARY, options=options)


def offered(
    text: str,
    run: Analysis,
    finding: Finding,
    options: Options | None = None,
    trials: int = MOST_TRIALS,
    account: Any = None,
) -> tuple[Remedy, ...]:
    """The remedies of one finding, each tried with the parts that its rule needs."""
    case = Case(run=run, finding=finding, library=LIBRARY)
    return remedies(text, case, again(finding.rule, LIBRARY, options or Options()), trials=trials, account=account)


def pressed(text: str, remedy: Remedy) -> str:
    """The plan after a press: through the form that the button sends, and back."""
    edit = edit_from(form_of(remedy.edit))
    assert edit == remedy.edit
    return apply_edit(text, edit, LIBRARY)


@pytest.fixture(scope="session")
def press() -> Any:
    """(run_of, offered, pressed) for the tests."""
    return run_of, offered, pressed


@pytest.fixture(scope="session")
def rule_cases() -> dict[str, str]:
    """A plan for each case of tests/checks/test_each_rule_alone.py, which breaks one rule each."""
    folder = ROOT / "tests" / "checks"
    edit_base = runpy.run_path(str(folder / "conftest.py"))["edited"]
    cases = runpy.run_path(str(folder / "test_each_rule_alone.py"))["CASES"]
    return {f"{number}-{each.rule}": edit_base(each.edits) for number, each in enumerate(cases)}


@pytest.fixture(scope="session")
def any_plan() -> Callable[[int], str]:
    return plan_number
