"""A rule is one file: it lies in checks/rules, and nothing else is to be touched."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from everyrung.checks import rules as package
from everyrung.checks.page import page
from everyrung.checks.registry import registry, rules
from everyrung.pipeline import Options, run_plan
from everyrung.plan.read import read_plan
from everyrung.terms.enums import Severity

EXAMPLES = Path(__file__).parents[2] / "examples"

ONE_FILE = '''
from collections.abc import Iterator

from everyrung.checks.rule import TIMELINE, rule
from everyrung.terms.finding import Finding
from everyrung.terms.finding import WholeSession
from everyrung.terms.session import Session
from everyrung.terms.timeline import Timeline
from everyrung.terms.enums import Severity


@rule(TIMELINE)
def too_many_sets(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """A session has no more than 20 sets.

    Severity: note
    Limit: 20 sets
    Source: chosen, because it is a test
    """
    sets = sum(1 for _ in session.cells)
    if sets > 20:
        yield Finding(
            rule="too-many-sets", severity=Severity.NOTE, where=session.where, places=(WholeSession(),),
            measured=f"{sets} sets", limit="20 sets", source="chosen, because it is a test", remedy="Lead fewer.",
        )
'''


@pytest.fixture
def one_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """A folder beside checks/rules that holds one file more."""
    (tmp_path / "a_rule_of_a_test.py").write_text(ONE_FILE, encoding="utf-8")
    monkeypatch.setattr(package, "__path__", [*package.__path__, str(tmp_path)])
    registry.cache_clear()
    yield
    monkeypatch.undo()
    registry.cache_clear()


@pytest.mark.usefixtures("one_file")
def test_a_rule_in_one_file_is_checked_and_stands_on_the_page(findings) -> None:
    (found,) = findings()  # of a plan that has no finding otherwise
    assert (found.rule, found.measured[-5:]) == ("too-many-sets", " sets")
    row = "| `too-many-sets` | the plan and its clock | note | A session has no more than 20 sets. | 20 sets | chosen"
    assert row in page()


def test_every_module_of_the_folder_has_a_rule() -> None:
    (folder,) = package.__path__
    names = {path.stem for path in Path(folder).glob("*.py")} - {"__init__"}
    assert {rule.judge.__module__.rpartition(".")[2] for rule in rules()} == names


@pytest.mark.parametrize("name", ["faulty", "boathouse-30"])
def test_without_notes_all_that_is_graver_is_found(name: str) -> None:
    plan = read_plan(EXAMPLES / f"{name}.toml")
    every = run_plan(plan, options=Options(bodies=True)).findings
    graver = run_plan(plan, options=Options(bodies=True, notes=False)).findings
    assert [each for each in graver if each.severity is not Severity.NOTE] == [
        each for each in every if each.severity is not Severity.NOTE
    ]
    assert len(graver) < len(every)
