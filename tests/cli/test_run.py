"""run.py: the two README commands, standard library only, and no network once installed."""

import ast
import importlib.util
import subprocess
import sys
import venv
from pathlib import Path
from types import ModuleType

import pytest

RUN = Path(__file__).parents[2] / "run.py"


def installations(run: ModuleType, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The extras that are asked for from here on, instead of their installation."""
    extras: list[str] = []

    def install(extra: str) -> None:
        extras.append(extra)
        run.PYTHON.parent.mkdir(parents=True, exist_ok=True)
        run.PYTHON.write_text("")

    monkeypatch.setattr(run, "install", install)
    return extras


@pytest.fixture
def run(tmp_path: Path) -> ModuleType:
    """run.py as it would be in a fresh checkout in `tmp_path`."""
    copy = tmp_path / "run.py"
    copy.write_text(RUN.read_text())
    (tmp_path / "web").mkdir()
    for name in ("pyproject.toml", "hatch_build.py", "web/package.json", "web/package-lock.json"):
        (tmp_path / name).write_text("[project]\n")
    spec = importlib.util.spec_from_file_location("fresh_run", copy)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_run_uses_the_standard_library_only() -> None:
    names = {
        alias.name if isinstance(node, ast.Import) else str(node.module)
        for node in ast.walk(ast.parse(RUN.read_text()))
        if isinstance(node, ast.Import | ast.ImportFrom)
        for alias in node.names
    }
    assert names
    assert {name.split(".")[0] for name in names} <= set(sys.stdlib_module_names)


def test_what_is_installed_is_not_installed_again(run: ModuleType, monkeypatch: pytest.MonkeyPatch) -> None:
    installed = installations(run, monkeypatch)
    assert run.set_up("demo")
    assert run.set_up("demo")
    assert installed == [""]
    (run.HERE / "pyproject.toml").write_text("[project]\nname = 'changed'\n")
    assert run.set_up("demo")
    assert installed == ["", ""]


def test_the_demo_installs_no_test_tools_and_is_content_with_an_environment_that_has_them(
    run: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    installed = installations(run, monkeypatch)
    assert run.set_up("demo")
    assert run.set_up("test")
    assert installed == ["", "[test]"]
    run.STAMPS["demo"].unlink()
    assert run.set_up("demo")
    assert installed == ["", "[test]"]


def test_a_broken_environment_is_not_taken_for_a_whole_one(run: ModuleType) -> None:
    """The state after an interrupted first run: a Python without pip."""
    assert not run.has_pip()
    venv.create(run.VENV, with_pip=False, symlinks=True)
    assert run.PYTHON.exists()
    assert not run.has_pip()


def test_a_failed_installation_is_said_and_not_remembered(
    run: ModuleType, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def install(extra: str) -> None:
        raise OSError(f"no network for the project{extra}")

    monkeypatch.setattr(run, "install", install)
    assert not run.set_up("test")
    assert "Setting up failed: no network for the project[test]" in capsys.readouterr().err
    assert not run.STAMPS["test"].exists()


def test_programs_started_by_tests_keep_their_bytecode(run: ModuleType, monkeypatch: pytest.MonkeyPatch) -> None:
    """Else each of a hundred compiles every module anew, where the machine's own setting forbids Python to keep it."""
    started: list[dict[str, str]] = []

    def start(command: list[str], *, env: dict[str, str], **_: object) -> subprocess.CompletedProcess[str]:
        started.append(env)
        return subprocess.CompletedProcess(command, 3)

    monkeypatch.setenv("PYTHONDONTWRITEBYTECODE", "1")
    monkeypatch.setenv("HOME", "/somewhere")
    monkeypatch.setattr(run.subprocess, "run", start)
    assert run.run_tests(everything=False, extra=[]) == 3
    assert "PYTHONDONTWRITEBYTECODE" not in started[0]
    assert started[0]["HOME"] == "/somewhere"
