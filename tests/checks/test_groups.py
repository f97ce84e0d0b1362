"""Findings come by rule, each once, the gravest first, seven rules at once: on all examples and fifty made drafts."""

from functools import cache
from pathlib import Path

import pytest
from spoilt_drafts import draft_number, run_of

from everyrung.checks.groups import MOST_GROUPS, Group, first_groups, group_findings
from everyrung.checks.registry import check
from everyrung.moves.library import standard_library
from everyrung.plan.read import plan_from_text
from everyrung.plan.resolve import resolve
from everyrung.terms.enums import Severity
from everyrung.terms.errors import Where
from everyrung.terms.finding import Finding, WholeSession
from everyrung.timing.timeline import build_timeline
from tests.whole.any_plan import plan_number

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.toml"))
DRAFTS = range(1, 101, 2)  # the odd ones are built at random from the library


def text_of(plan: Path | int) -> str:
    """Built by the worker that runs the test, not by all when tests are gathered."""
    return plan_number(plan) if isinstance(plan, int) else plan.read_text(encoding="utf-8")


def made(rule: str, severity: Severity) -> Finding:
    where = Where(file="plan.toml", line=1, field="title")
    words = {"measured": "1", "limit": "0", "source": "a test", "remedy": "None."}
    return Finding(rule=rule, severity=severity, where=where, places=(WholeSession(),), **words)


@cache
def findings(plan: Path | int) -> tuple[Finding, ...]:
    session = resolve(plan_from_text(text_of(plan), "plan.toml"), standard_library())
    return check(session, build_timeline(session))


def test_one_rule_is_one_group_and_the_rule_with_an_error_comes_first() -> None:
    note, warning, error = made("a", Severity.NOTE), made("b", Severity.WARNING), made("a", Severity.ERROR)
    groups = group_findings([note, warning, error])
    assert [(group.rule, group.severity, len(group.findings)) for group in groups] == [
        ("a", Severity.ERROR, 2),
        ("b", Severity.WARNING, 1),
    ]


def test_every_error_is_shown_however_many_there_are() -> None:
    groups = group_findings(
        [made(f"rule-{number}", Severity.ERROR) for number in range(9)] + [made("a", Severity.NOTE)]
    )
    shown, rest = first_groups(groups)
    assert len(shown) == 9
    assert [group.rule for group in rest] == ["a"]


@pytest.mark.parametrize("plan", [*EXAMPLES, *DRAFTS], ids=lambda plan: str(getattr(plan, "stem", plan)))
def test_an_ordinary_draft_shows_seven_kinds_at_most_each_finding_once_and_the_gravest_first(plan: Path | int) -> None:
    found = findings(plan)
    shown, rest = first_groups(group_findings(found))
    errors = [group for group in shown if group.severity is Severity.ERROR]
    assert len(shown) <= max(MOST_GROUPS, len(errors))
    assert sorted(map(id, found)) == sorted(id(each) for group in (*shown, *rest) for each in group.findings)
    grave = [list(Severity).index(group.severity) for group in (*shown, *rest)]
    assert grave == sorted(grave)
    assert not [group for group in rest if group.severity is Severity.ERROR]


def test_the_findings_of_one_draft_come_to_few_kinds_of_warning() -> None:
    """Of fifty plans built at random, of which nothing fits, a quarter still show every warning among the seven."""

    def hides_a_warning(groups: tuple[Group, ...]) -> bool:
        return any(group.severity is Severity.WARNING for group in first_groups(groups)[1])

    hiding = sum(hides_a_warning(group_findings(findings(plan))) for plan in DRAFTS)
    assert hiding <= 0.75 * len(DRAFTS)


@pytest.mark.parametrize("number", range(1, 9))
def test_an_ordinary_draft_has_at_most_seven_kinds_of_findings_and_none_is_cut(number: int) -> None:
    """An example with one to four changes that nobody thought through; of fifty the most were seven."""
    shown, waiting = first_groups(group_findings(run_of(draft_number(number)).findings))
    assert 0 < len(shown) <= MOST_GROUPS
    assert waiting == ()
