"""The layers of the design hold: imports run downward only, and heavy libraries stay where they belong."""

import ast
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest
from architecture import LAYERS, MOST_LINES, PACKAGE, PAGE, PICTURE, TREE, cycles, modules, page, picture

import everyrung

ONLY_IN = {
    "mujoco": {"body"},
    "musclemimic_models": {"body"},
    "espeakng_loader": {"voice"},
    "hibari": {"voice"},
    "numpy": {"blocks", "body", "cues", "effort", "lookback", "publish", "voice", "proposals", "room", "weeks"},
    "ortools": {"cues"},
    "av": {"lookback", "publish"},
    "pyloudnorm": {"publish"},
    "icalendar": {"publish"},
    "msgspec": {"body", "runsheet"},
    "pandas": {"results"},
    "numba": {"body"},
    "scipy": {"blocks", "body", "lookback", "proposals", "room", "voice"},
    "shapely": {"room"},
    "typst": {"publish"},
    "jinja2": {"publish", "web"},
    "starlette": {"web"},
    "argon2": {"web"},
    "uvicorn": {"cli"},
    "sqlalchemy": {"store", "web"},
    "alembic": {"store"},
    "cryptography": {"store"},
    "tomlkit": {"blocks", "moves", "plan", "people"},
    "platformdirs": {"store"},
    "markdown_it": {"web"},
    "distributed": {"executors"},
    "fitdecode": {"lookback"},
    "opentimelineio": {"lookback"},
    "jellyfish": {"lookback"},
    "rapidfuzz": {"lookback"},
}
# Of the standard library and ours, what takes a millisecond or more to import and a check has no use for.
SLOW = ("json", "sqlite3", "difflib", "msgspec", "importlib.metadata", "everyrung.timing.branches")
HEAVY = ("numpy", "shapely", "numba", "typst", "jinja2", "tomlkit", "mujoco", "ortools", "starlette", "sqlalchemy")
HEAVY += ("distributed",)


def imports_of(path: Path) -> set[str]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    found: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found.add(node.module)
            found |= {f"{node.module}.{alias.name}" for alias in node.names}
    return found


def layer_of(name: str) -> int:
    return next(at for at, layer in enumerate(LAYERS) if name in layer)


@cache  # read by the worker that runs these tests, not by all when tests are gathered
def files() -> dict[Path, set[str]]:
    return {path.relative_to(PACKAGE): imports_of(path) for path in PACKAGE.rglob("*.py")}


def part(path: Path) -> str:
    return path.parts[0].removesuffix(".py")


def test_the_package_was_seen() -> None:
    assert len(files()) > 40
    assert {part(path) for path in files()} - {"__init__"} == set().union(*LAYERS)
    assert any("everyrung.terms" in name for names in files().values() for name in names)


def test_imports_run_downward_only() -> None:
    wrong = [
        f"{path} imports {name}"
        for path, names in files().items()
        for name in names
        if part(path) != "__init__" and name.startswith("everyrung.")
        if (other := name.split(".")[1]) != part(path) and other != "__version__"
        if layer_of(other) >= layer_of(part(path))
    ]
    assert not wrong


def test_terms_use_the_standard_library_only() -> None:
    used = {name.split(".")[0] for path, names in files().items() if part(path) == "terms" for name in names}
    assert used - set(sys.stdlib_module_names) == {"everyrung"}


def test_libraries_stay_in_their_layer() -> None:
    wrong = [
        f"{path} imports {name}"
        for path, names in files().items()
        for name in names
        if part(path) not in ONLY_IN.get(name.split(".")[0], {part(path)})
    ]
    assert not wrong


def loaded_by(arguments: list[str]) -> set[str]:
    code = (
        "import sys\nfrom everyrung.cli import main\n"
        f"try:\n    main({arguments!r})\nexcept SystemExit:\n    pass\n"
        "print('LOADED', *sorted(sys.modules))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return set(done.stdout.split("LOADED ")[-1].split())


def test_help_loads_nothing_heavy() -> None:
    loaded = loaded_by(["--help"])
    assert "everyrung.cli" in loaded
    assert not loaded & set(HEAVY)
    assert "everyrung.pipeline" not in loaded


def test_check_loads_nothing_heavy() -> None:
    example = PACKAGE.parents[1] / "examples" / "boathouse-30.toml"
    loaded = loaded_by(["check", str(example)])
    assert "everyrung.timing.timeline" in loaded
    assert not loaded & {*HEAVY, *SLOW}


def test_every_class_that_a_check_loads_is_cheap_to_declare() -> None:
    """terms.frozen says why."""
    example = PACKAGE.parents[1] / "examples" / "boathouse-30.toml"
    loaded = loaded_by(["check", str(example)])
    seen = {path for path in files() if ".".join(("everyrung", *path.with_suffix("").parts)) in loaded}
    assert len(seen) > 60
    dear = {path.as_posix() for path in seen if "dataclasses.dataclass" in files()[path]}
    assert dear == {"terms/frozen.py"}


def test_no_module_is_long() -> None:
    assert {name for name, module in modules().items() if module.lines > MOST_LINES} == set()


def test_no_module_imports_itself_by_way_of_others() -> None:
    """Neither as it is loaded nor when one of its functions is called; imports for type checkers alone don't count."""
    graph = {name: module.loads | module.asks for name, module in modules().items()}
    assert "terms.errors" in graph["terms.plan"]
    assert "effort.choices" in graph["pipeline"]  # inside a function
    assert cycles(graph) == []


@pytest.mark.parametrize(
    ("graph", "expected"),
    [
        ({"a": {"b"}, "b": {"c"}, "c": set()}, []),
        ({"a": {"b"}, "b": {"c"}, "c": {"a"}, "d": {"a"}}, [("a", "b", "c")]),
        ({"a": {"b"}, "b": {"a", "c"}, "c": {"d"}, "d": {"c"}}, [("c", "d"), ("a", "b")]),
    ],
)
def test_a_cycle_is_seen(graph: dict[str, set[str]], expected: list[tuple[str, ...]]) -> None:
    assert cycles({name: frozenset(others) for name, others in graph.items()}) == expected


def test_the_page_of_the_house_is_what_the_code_says() -> None:
    """python scripts/write_architecture.py writes both anew."""
    assert Path(everyrung.__file__).parent == PACKAGE
    written = PAGE.read_text(encoding="utf-8")
    assert written == page(written)
    assert PICTURE.read_text(encoding="utf-8") == picture()
    assert f"({PICTURE.relative_to(TREE / 'docs').as_posix()})" in written
