"""Every remedy of every plan, pressed: its finding is gone, nothing as severe has come, no rung offers what to avoid.

Judged here from the findings and the session after the press, not by the trial that offered it.
"""

from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from everyrung.checks.cells import every_cell
from everyrung.checks.rules.whole_session import HIGHEST_GRADE
from everyrung.compose.case import Remedy
from everyrung.compose.mend import Account
from everyrung.pipeline import AudienceSpec, Options
from everyrung.plan.bouts import lacking
from everyrung.results.analysis import Analysis
from everyrung.store.cache import default_cache
from everyrung.terms.enums import OptionKind, Severity
from everyrung.terms.finding import Finding

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.toml"))
FAULTY = next(each for each in EXAMPLES if each.stem == "faulty")
ORDER = [Severity.ERROR, Severity.WARNING, Severity.NOTE]
FEW, MANY = range(4), range(200)
# Rules whose remedy is none of the plan's: it is for information, or asks for words or another move file.
NO_REMEDY = {"limit-rung", "held-breath"}
FULL = {"side-by-round", "side-owed", "rest-short", "warm-up-gap"}  # what mends them is longer than those plans' slot


def hold(finding: Finding, remedy: Remedy, before: Analysis, after: Analysis) -> None:
    """What must be so after a press."""
    what = f"{finding.rule} at {finding.place}: {remedy.words}"
    for each in after.findings:
        if (each.rule, each.what) == (finding.rule, finding.what):
            assert not set(each.places) & set(finding.places), f"{what}: still there"
        alike = [one for one in before.findings if (one.rule, one.what) == (each.rule, each.what)]
        known = {
            place for one in alike if ORDER.index(one.severity) <= ORDER.index(each.severity) for place in one.places
        }
        if not set(each.places) <= known:
            assert ORDER.index(each.severity) > ORDER.index(finding.severity), f"{what}: {each} came"
    _fit(finding, what, before, after)


def _fit(finding: Finding, what: str, before: Analysis, after: Analysis) -> None:
    """No rung that is offered anew has a caution in question or kit that is not there, and none is too high."""
    avoided = set(before.session.who.limits)
    own = set(finding.what.split(", "))
    old = {cell.ref: cell for cell in every_cell(before.session)}
    for cell in every_cell(after.session):
        was = old.get(cell.ref)
        if was is None or was.rung.form != cell.rung.form:
            had = set(was.rung.cautions) if was else set()
            assert not (set(cell.rung.cautions) - had) & avoided, f"{what}: leads {cell.rung.name}"
            assert not set(map(str, cell.rung.cautions)) & own, f"{what}: leads {cell.rung.name}"
            assert not lacking(cell.rung, after.session.kit), f"{what}: no kit for {cell.rung.name}"
            assert cell.rung.grade <= max(HIGHEST_GRADE[after.session.level], was.rung.grade if was else 0), what
        for option in cell.options:
            offered = was.option(option.kind) if was else None
            if not option.given or (offered and offered.rung.form == option.rung.form):
                continue
            assert not lacking(option.rung, after.session.kit), f"{what}: no kit for {option.rung.name}"
            assert not set(map(str, option.rung.cautions)) & own, f"{what}: offers {option.rung.name}"
            if option.kind is not OptionKind.HARDER:
                assert not set(option.rung.cautions) & avoided, f"{what}: offers {option.rung.name}"
                assert option.rung.grade <= cell.rung.grade, f"{what}: {option.rung.name} is no easier"


def press_all(press: Any, text: str, account: Account | None = None) -> Counter[str]:
    """Presses every remedy of every finding; counts the rules that have any, and 'of' all findings."""
    run_of, offered, pressed = press
    run = run_of(text)
    seen: Counter[str] = Counter()
    for finding in run.findings:
        found = offered(text, run, finding, account=account)
        seen[finding.rule] += bool(found)
        seen["findings"] += 1
        for remedy in found:
            hold(finding, remedy, run, run_of(pressed(text, remedy)))
    return seen


@pytest.mark.parametrize("plan", [each for each in EXAMPLES if each != FAULTY], ids=lambda path: path.stem)
def test_every_remedy_of_an_example_holds(press: Any, plan: Path) -> None:
    press_all(press, plan.read_text(encoding="utf-8"))


def test_most_of_the_faulty_plan_can_be_mended(press: Any) -> None:
    seen = press_all(press, FAULTY.read_text(encoding="utf-8"))
    assert seen["findings"] == 25
    without = {rule for rule, number in seen.items() if not number}
    assert without <= {"limit-rung", "kit-short", "rest-short", "screening-unsaid", "stretch-short", "floor-changes"}


@pytest.mark.parametrize("number", FEW)
def test_every_remedy_of_any_plan_holds(press: Any, any_plan: Callable[[int], str], number: int) -> None:
    press_all(press, any_plan(number))


def test_rules_broken_alone_have_a_remedy(press: Any, rule_cases: dict[str, str]) -> None:
    """A sample here; all of them among the slow tests."""
    some = dict([*rule_cases.items()][::9])
    assert sum(sum(press_all(press, text).values()) > 1 for text in some.values()) >= len(some) - 2


def test_words_that_ask_people_lying_down_to_look_are_left_out_with_one_press(
    press: Any, rule_cases: dict[str, str]
) -> None:
    text = next(text for name, text in rule_cases.items() if name.endswith("look-head-down"))
    assert press_all(press, text)["look-head-down"]


@pytest.mark.slow
def test_every_rule_broken_alone_has_a_remedy_that_holds(press: Any, rule_cases: dict[str, str]) -> None:
    mended: Counter[str] = Counter()
    for text in rule_cases.values():
        mended += press_all(press, text)
    rules = {name.partition("-")[2] for name in rule_cases}
    assert rules - set(mended) <= NO_REMEDY | FULL | {"pattern-balance"}, rules - set(mended)


@pytest.mark.slow
def test_every_remedy_of_two_hundred_plans_holds(press: Any, any_plan: Callable[[int], str]) -> None:
    account, seen = Account(), Counter[str]()
    for number in MANY:
        seen += press_all(press, any_plan(number), account)
    print(f"\n{seen['findings']} findings, {sum(seen.values()) - seen['findings']} with a remedy; {account}; {seen}")
    assert seen["findings"] > 1000
    assert sum(seen.values()) - seen["findings"] > 0.4 * seen["findings"]
    assert account.refusals


@pytest.mark.slow
@pytest.mark.parametrize("stem", ["boathouse-30", "one-dumbbell-30", "faulty"])
def test_so_do_those_of_bodies_and_people(press: Any, stem: str) -> None:
    """With all that the studio asks, but for fewer people."""
    run_of, offered, pressed = press
    options = Options(bodies=True, audience=AudienceSpec(count=300), cache=default_cache())
    text = next(each for each in EXAMPLES if each.stem == stem).read_text(encoding="utf-8")
    run = run_of(text, options)
    for finding in run.findings:
        for remedy in offered(text, run, finding, options, 3):
            if not remedy.silent:
                after = run_of(pressed(text, remedy), options)
                assert finding.identity not in [each.identity for each in after.findings], remedy.words
