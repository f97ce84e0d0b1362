"""Every rule is broken alone: one small change of the clean plan, and only that rule speaks.

Limits: the novice range of 8 to 12 repetitions is ACSM 2009 (position stand); warm-up and cool-down of 5 minutes
are ACSM guidelines, 11th ed., from memory; the other limits are common practice, no source, or chosen.
"""

from collections.abc import Callable

import pytest
from breaks_of_clock import OF_CLOCK
from breaks_of_versions import OF_VERSIONS
from one_break import Broken

from everyrung.checks.registry import rules
from everyrung.checks.rule import TIMELINE
from everyrung.terms.finding import Finding

CASES = (*OF_CLOCK, *OF_VERSIONS)
SOURCES = ("common practice, no source", "chosen, because", "ACSM", "the plan's own", "arithmetic")


def test_the_clean_plan_has_no_finding_at_all(findings: Callable[..., tuple[Finding, ...]]) -> None:
    assert findings() == ()


@pytest.mark.parametrize("case", CASES, ids=[f"{case.rule}: {case.measured[:40]}" for case in CASES])
def test_one_change_breaks_one_rule_and_no_other(
    case: Broken, findings: Callable[..., tuple[Finding, ...]], file_language: Callable[[str], list[str]]
) -> None:
    found = findings(*case.edits)
    assert [each.rule for each in found] == [case.rule], "\n".join(map(str, found))
    finding = found[0]
    assert (finding.severity, finding.place) == (case.severity, case.place)
    assert case.measured in finding.measured
    assert case.remedy in finding.remedy
    said = (finding.place, finding.measured, finding.limit, finding.source, finding.remedy)
    assert [word for each in said for word in file_language(each)] == []  # the hint alone speaks of files


@pytest.mark.parametrize("case", CASES, ids=[case.rule for case in CASES])
def test_a_finding_stands_at_a_line_of_the_plan_with_numbers_and_a_source(
    case: Broken, findings: Callable[..., tuple[Finding, ...]]
) -> None:
    for finding in findings(*case.edits):
        assert finding.where.file == "plan.toml"
        assert finding.where.line > 0
        assert any(sign.isdigit() for sign in finding.measured)
        assert any(sign.isdigit() for sign in finding.limit)
        assert finding.source.startswith(SOURCES)


def test_every_rule_is_broken_alone_by_some_change() -> None:
    by_library = {
        "caution-unanswered",
        "held-breath",
        "limit-rung",
        "floor-late",
    }
    assert {case.rule for case in CASES} | by_library == {rule.id for rule in rules(TIMELINE)}
