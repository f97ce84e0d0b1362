"""Rules of other packages: taken by entry points, shown as ours are, and never the end of the program.

Entry points: the PyPA entry points specification, read by `importlib.metadata`. The example is built by hatchling.
"""

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from everyrung.checks.page import page
from everyrung.checks.registry import check, registry
from everyrung.moves.library import standard_library
from everyrung.plan.read import read_plan
from everyrung.plan.resolve import resolve
from everyrung.terms.finding import Finding
from everyrung.timing.timeline import build_timeline

ROOT = Path(__file__).parents[2]
EXAMPLE = ROOT / "examples" / "boathouse-30.toml"
HEAD = """
from everyrung.checks.rule import AUDIENCE, TIMELINE, rule
"""
WORDS = '''
    """Says something.

    Severity: note
    Limit: 1
    Source: chosen, because it is a test
    """
'''


def findings() -> tuple[Finding, ...]:
    session = resolve(read_plan(EXAMPLE), standard_library())
    return check(session, build_timeline(session))


def test_a_rule_of_an_installed_package_is_checked_and_listed(lakeside: Path, with_package) -> None:
    before, written = findings(), page()
    with_package(lakeside)
    after = findings()
    assert [each.rule for each in after if each not in before] == ["mats-between-boats"]
    assert set(before) < set(after)
    assert page() == written
    row = "| `mats-between-boats` | the plan and its clock | warning | No more people are in the room than mats fit"
    assert row in page(plug_ins=True)


def test_the_command_says_what_the_rule_of_a_package_found(lakeside: Path) -> None:
    paths = os.pathsep.join([str(ROOT / "src"), str(lakeside)])
    done = subprocess.run(
        [sys.executable, "-m", "everyrung.cli", "check", str(EXAMPLE)], check=False,
        capture_output=True, text=True, env=os.environ | {"PYTHONPATH": paths},
    )  # fmt: skip
    assert done.stderr == ""
    assert "warning mats-between-boats at whole session" in done.stdout
    assert "Carry two boats out before the class" in done.stdout


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("import a_package_that_is_not_there", "cannot be loaded: ModuleNotFoundError: No module named"),
        ("raise SystemExit(3)", "cannot be loaded: SystemExit: 3"),
        ("this is no Python", "cannot be loaded: SyntaxError"),
        ("x = 1", "The plug-in 'spoilt' (everyrung.rules) has no rule: none is marked with @rule"),
        (f"{HEAD}@rule(TIMELINE)\ndef sides_unequal(session, timeline):{WORDS}    yield", "is another rule's"),
        (f"{HEAD}@rule(TIMELINE)\ndef wordless(session, timeline):\n    yield", "it lacks a line of its words"),
        (f"{HEAD}@rule('bodies')\ndef blind(session, timeline):{WORDS}    yield", "blind looks at none of TIMELINE"),
    ],
    ids=["missing", "exits", "syntax", "empty", "taken", "wordless", "blind"],
)
def test_a_package_that_cannot_be_used_is_one_sentence_with_its_name(
    text: str, words: str, spoilt: Callable[[str, str], Path], with_package
) -> None:
    before = findings()
    with_package(spoilt("everyrung.rules", text))
    (more,) = [each for each in findings() if each not in before]
    assert more.rule == "plug-in-failed"
    assert "'spoilt'" in more.measured
    assert words in more.measured
    assert "\n" not in str(more)


@pytest.mark.parametrize(
    ("body", "words"),
    [
        ("yield 1 / 0", "ZeroDivisionError: division by zero"),
        ("yield 'no finding'", "TypeError: a finding expected, got 'no finding'"),
        ("return 3", "TypeError: 'int' object is not iterable"),
    ],
)
def test_a_rule_of_a_package_that_raises_is_one_sentence_and_every_other_rule_is_run(
    body: str, words: str, spoilt: Callable[[str, str], Path], with_package
) -> None:
    before = findings()
    with_package(spoilt("everyrung.rules", f"{HEAD}@rule(TIMELINE)\ndef leaky(session, timeline):{WORDS}    {body}"))
    after = findings()
    assert set(before) < set(after)
    (more,) = [each for each in after if each not in before]
    assert f"The rule 'leaky' of the plug-in 'spoilt' failed: {words}" in more.measured


def test_what_was_found_before_a_rule_of_a_package_raises_is_kept(spoilt, with_package) -> None:
    source = (EXAMPLE.parents[1] / "tests/plugins/lakeside/src/lakeside/rules.py").read_text(encoding="utf-8")
    with_package(spoilt("everyrung.rules", f"{source}        yield 1 / 0\n"))
    assert {"mats-between-boats", "plug-in-failed"} <= {each.rule for each in findings()}


def test_without_a_package_nothing_slow_is_loaded_to_look_for_one() -> None:
    code = "import sys; from everyrung.checks.registry import registry; registry(); print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert "importlib.metadata" not in done.stdout.split()


def test_our_own_rules_have_no_problem() -> None:
    assert registry().others == ()
    assert registry().problems == ()
