"""A distribution of somebody else's on the path: built from the example here, without a network, and taken away."""

import os
import sys
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from hatchling.build import build_wheel

from everyrung.checks.registry import registry as rules
from everyrung.plugins import plugins
from everyrung.publish.registry import registry as outputs

EXAMPLE = Path(__file__).parent / "lakeside"


@pytest.fixture(scope="session")
def lakeside(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder that the example package is installed in: what its wheel holds, metadata and all."""
    built, folder = tmp_path_factory.mktemp("wheel"), tmp_path_factory.mktemp("site")
    before = Path.cwd()
    os.chdir(EXAMPLE)
    try:
        name = build_wheel(str(built))
    finally:
        os.chdir(before)
    zipfile.ZipFile(built / name).extractall(folder)
    return folder


@pytest.fixture
def with_package(monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[Path], None]]:
    """Puts an installed folder on the path, as a virtual environment has it, until the test ends."""
    before = set(sys.modules)

    def put(folder: Path) -> None:
        monkeypatch.syspath_prepend(str(folder))
        forget()

    yield put
    monkeypatch.undo()
    forget()
    for name in set(sys.modules) - before:
        if name.partition(".")[0] in ("lakeside", "spoilt"):
            del sys.modules[name]


def forget() -> None:
    """What was found on another path is no longer known."""
    plugins.cache_clear()
    rules.cache_clear()
    outputs.cache_clear()


@pytest.fixture
def spoilt(tmp_path: Path) -> Callable[[str, str], Path]:
    """An installed package `spoilt` whose one module has this text, named under this group."""

    def make(group: str, text: str) -> Path:
        (tmp_path / "spoilt.py").write_text(text, encoding="utf-8")
        metadata = tmp_path / "spoilt-1.0.dist-info"
        metadata.mkdir(exist_ok=True)
        (metadata / "METADATA").write_text("Metadata-Version: 2.1\nName: spoilt\nVersion: 1.0\n", encoding="utf-8")
        (metadata / "entry_points.txt").write_text(f"[{group}]\nspoilt = spoilt\n", encoding="utf-8")
        return tmp_path

    return make
