"""The page of rules is what the rules say, and the rules are what they say."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from everyrung.checks.page import page
from everyrung.checks.registry import rules
from everyrung.checks.rule import TIMELINE, Rule, rule, rule_text
from everyrung.checks.rules import cautions, changes, duration, options, sides, whole_session
from everyrung.terms.enums import Severity
from everyrung.terms.finding import Finding
from everyrung.terms.move import MAX_ENTRY_TEST_WORDS
from everyrung.terms.session import Session
from everyrung.terms.timeline import Timeline
from everyrung.terms.units import clock_text
from everyrung.timing.cut_order import FLOOR_MS
from everyrung.timing.refit import UNDERFILL_SHARE
from everyrung.timing.side_totals import SAME_MASS_KG

PAGE = Path(__file__).parents[2] / "docs" / "rules.md"


def test_the_page_in_docs_is_the_page_that_the_rules_write() -> None:
    assert PAGE.read_text(encoding="utf-8") == page(), "write it anew: python -m everyrung.checks.page > docs/rules.md"


def test_every_rule_has_one_row_with_all_its_columns() -> None:
    rows = [line for line in page().splitlines() if line.startswith("| `")]
    assert [row.split("`")[1] for row in rows] == [rule.id for rule in rules()]
    assert all(row.count("|") == 7 for row in rows)


@pytest.mark.parametrize("rule", rules(), ids=lambda rule: rule.id)
def test_a_rule_says_who_set_its_limit_and_how_severe_it_is(rule: Rule[Any]) -> None:
    text = rule_text(rule)
    assert any(severity in text.severity for severity in Severity)
    assert text.source.startswith(
        ("common practice, no source: ", "chosen, because ", "ACSM", "the plan's own ", "arith")
    )


@pytest.mark.parametrize(
    ("rule", "limit"),
    [
        (duration.slot_underfilled, f"{1 - UNDERFILL_SHARE:.0%}".replace("%", " %")),
        (duration.warm_up_floor, clock_text(FLOOR_MS)),
        (duration.cool_down_floor, clock_text(FLOOR_MS)),
        (sides.sides_differ, f"{SAME_MASS_KG:g} kg"),
        (changes.floor_changes, f"{changes.MAX_FLOOR_CHANGES_A_ROUND} changes a round"),
        (options.entry_test, f"1 to {MAX_ENTRY_TEST_WORDS} words"),
        (whole_session.pattern_balance, f"{len(whole_session.TRAINED)} patterns"),
        (
            whole_session.level_label,
            ", ".join(f"{grade} for {level}" for level, grade in whole_session.HIGHEST_GRADE.items()),
        ),
        (cautions.newcomer_knee_bends, f"{cautions.NOVICE_REPS} repetitions a leg"),
        (cautions.newcomer_rung, f"grade {cautions.FIRST_GRADE} beside a rung of grade {cautions.STRONG_GRADE}"),
    ],
)
def test_the_page_names_the_limit_that_the_rule_holds(rule: Rule[Any], limit: str) -> None:
    assert limit in rule_text(rule).limit


def test_two_rules_never_share_an_id() -> None:
    ids = [rule.id for rule in rules()]
    assert len(set(ids)) == len(ids)


def test_findings_have_a_source_even_where_docstrings_are_left_out(monkeypatch: pytest.MonkeyPatch) -> None:
    assert sides.sides_differ.source == "common practice, no source: both sides get the same work"
    monkeypatch.setattr(sides.sides_differ.judge, "__doc__", None)  # as `python -OO` does
    assert sides.sides_differ.source == "docs/rules.md"


def test_a_rule_without_a_source_is_refused() -> None:
    @rule(TIMELINE)
    def unsourced(_session: Session, _timeline: Timeline) -> Iterator[Finding]:
        """Says something.

        Severity: note
        Limit: 1
        """
        yield from ()

    with pytest.raises(ValueError, match="unsourced"):
        rule_text(unsourced)
