"""The scripts of others: brought in by the build, with their licences, from a lock file without addresses."""

import importlib.util
import json
from pathlib import Path
from types import ModuleType

import pytest

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def hook() -> ModuleType:
    spec = importlib.util.spec_from_file_location("hatch_build", ROOT / "hatch_build.py")
    assert spec
    assert spec.loader
    made = importlib.util.module_from_spec(spec)
    try:
        spec.loader.exec_module(made)
    except ModuleNotFoundError:
        pytest.skip("hatchling is not installed here")
    return made


VENDOR = ROOT / "src" / "everyrung" / "static" / "vendor"


@pytest.mark.parametrize(
    "name", ["htmx.min.js", "uPlot.esm.js", "uPlot.min.css", "three.module.min.js", "OrbitControls.js", "LICENCES.txt"]
)
def test_every_script_is_there(name: str) -> None:
    assert (VENDOR / name).stat().st_size > 1000


def test_each_licence_is_told_in_full() -> None:
    told = (VENDOR / "LICENCES.txt").read_text(encoding="utf-8")
    assert all(f"{name}\n=" in told for name in json.loads((ROOT / "web" / "package.json").read_text())["dependencies"])
    assert told.count("Permission to use") + told.count("Permission is hereby granted") >= 3


def test_the_lock_has_digests_and_no_addresses() -> None:
    text = (ROOT / "web" / "package-lock.json").read_text(encoding="utf-8")
    assert "http" not in text
    packages = [each for name, each in json.loads(text)["packages"].items() if name]
    assert packages
    assert all(each["integrity"].startswith("sha512-") for each in packages)


def test_no_bare_import_is_left() -> None:
    assert "from './three.module.min.js'" in (VENDOR / "OrbitControls.js").read_text(encoding="utf-8")
    assert "from 'three'" not in (VENDOR / "OrbitControls.js").read_text(encoding="utf-8")


def test_a_changed_bare_import_stops_the_build(hook: ModuleType) -> None:
    with pytest.raises(RuntimeError, match="expected one line"):
        hook.with_path("import { Vector3 } from 'tree';")


def test_node_is_asked_for_only_when_the_stamp_is_stale(hook: ModuleType, tmp_path: Path) -> None:
    assert hook.fresh(ROOT)
    for name in ("web/package.json", "web/package-lock.json", "hatch_build.py"):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_bytes((ROOT / name).read_bytes())
    assert not hook.fresh(tmp_path)
