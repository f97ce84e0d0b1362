"""Types and style are checked with the tests, so that one command says whether all is well."""

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


@pytest.mark.parametrize(
    "command", [["ruff", "check", "."], ["ruff", "format", "--check", "."], ["mypy"]], ids=lambda words: " ".join(words)
)
def test_linters_are_content(command: list[str]) -> None:
    done = subprocess.run([sys.executable, "-m", *command], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


def test_nothing_of_this_machine_is_in_the_tree() -> None:
    """No registry's host, no lock file, no path of a build machine, no name of a source document."""
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False)
    files = [ROOT / name for name in listed.stdout.splitlines() if (ROOT / name).is_file()]
    if not files:
        pytest.skip("not a git checkout")
    names = ("/wo" + "rk/main", "/fa" + "rm/", "/o" + "pt/pypi", "pythonho" + "sted.org", "npm" + "js.org")
    marked = [path.name for path in files for name in names if name.encode() in path.read_bytes()]
    assert not marked
    assert not [path.name for path in files if path.name in ("uv.lock", "poetry.lock")]
