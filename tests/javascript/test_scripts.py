"""The browser's scripts: types, style, their own tests on Node's runner, and what Python writes for them."""

import importlib.util
import re
import subprocess
from collections.abc import Callable
from pathlib import Path
from types import ModuleType

import pytest

from everyrung.pipeline import Options, run
from everyrung.runsheet.build import run_sheet
from everyrung.runsheet.read_write import to_json
from everyrung.runsheet.terms import RunSheet
from everyrung.store.cache import default_cache

ROOT = Path(__file__).parents[2]
STATIC = ROOT / "src" / "everyrung" / "static"
OURS = sorted(path for path in STATIC.rglob("*.js") if "vendor" not in path.parts)
SUITES = sorted(Path(__file__).parent.glob("*.test.mjs"))
CASES = [
    (path.name, name) for path in SUITES for name in re.findall(r'^test\("([^"]+)"', path.read_text("utf-8"), re.M)
]
Command = Callable[..., "subprocess.CompletedProcess[str]"]


@pytest.mark.parametrize("path", OURS, ids=lambda path: path.relative_to(STATIC).as_posix())
def test_every_script_asks_to_be_type_checked(path: Path) -> None:
    assert path.read_text(encoding="utf-8").startswith("// @ts-check\n")


def test_the_type_checker_finds_nothing(tool: Command) -> None:
    checked = tool("typescript/bin/tsc", "--noEmit", "-p", "tsconfig.json")
    assert checked.returncode == 0, checked.stdout[:4000]


def test_the_type_checker_sees_a_fault(tool: Command, tmp_path: Path) -> None:
    (tmp_path / "wrong.js").write_text('// @ts-check\n/** @type {number} */\nexport const place = "one";\n')
    checked = tool("typescript/bin/tsc", "--noEmit", "--allowJs", "--target", "es2022", str(tmp_path / "wrong.js"))
    assert "Type 'string' is not assignable to type 'number'" in checked.stdout


def test_the_linter_finds_nothing(tool: Command) -> None:
    checked = tool("oxlint/bin/oxlint", "-c", ".oxlintrc.json", "--deny-warnings", "src/everyrung/static", "tests")
    assert checked.returncode == 0, checked.stdout[:4000]
    assert re.search(r"on \d\d files", checked.stdout)


@pytest.fixture(scope="session")
def sheet() -> RunSheet:
    """An evening with all in it: sides, holds, loads, first-timers, words, and less of it when time runs short."""
    options = Options(cues=True, branches=True, cache=default_cache())
    return run_sheet(run(ROOT / "examples" / "boathouse-30.toml", options=options))


@pytest.fixture(scope="session")
def outcomes(node: Command, tmp_path_factory: pytest.TempPathFactory, sheet: RunSheet) -> dict[str, str]:
    """Every test's last line in the TAP of Node's runner, by name."""
    path = tmp_path_factory.mktemp("javascript") / "sheet.json"
    path.write_text(to_json(sheet), encoding="utf-8")
    ran = node(
        "--disable-warning=MODULE_TYPELESS_PACKAGE_JSON",
        "--test",
        "--test-reporter=tap",
        *map(str, SUITES),
        EVERYRUNG_TEST_SHEET=str(path),
    )
    lines = re.findall(r"^\s*((?:not )?ok) \d+ - (.+?)(?: # .*)?$", ran.stdout, re.M)
    found = {name: outcome for outcome, name in lines}
    return {**found, "all": ran.stdout[-6000:]}


@pytest.mark.parametrize(("suite", "name"), CASES, ids=[f"{suite}: {name}" for suite, name in CASES])
def test_on_node(outcomes: dict[str, str], suite: str, name: str) -> None:
    assert outcomes.get(name) == "ok", f"{suite}\n{outcomes['all']}"


def script_of(name: str) -> ModuleType:
    """A script of the project as a module."""
    spec = importlib.util.spec_from_file_location(name, ROOT / "scripts" / f"{name}.py")
    assert spec
    assert spec.loader
    script = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(script)
    return script


def test_what_python_writes_for_the_scripts_is_up_to_date() -> None:
    for path, text in script_of("write_javascript").written().items():
        assert path.read_text(encoding="utf-8") == text, "python scripts/write_javascript.py"


def test_the_drawing_of_the_stage_s_states_is_up_to_date() -> None:
    script = script_of("write_stage_states")
    table = script.steps()
    assert sum(map(len, table.values())) > 20
    drawing = script.PICTURE.read_text(encoding="utf-8")
    assert drawing == script.picture(table), "python scripts/write_stage_states.py"
    assert all(f">{event}" in drawing or f"{event}<" in drawing for row in table.values() for event in row)
