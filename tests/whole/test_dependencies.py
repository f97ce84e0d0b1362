"""docs/dependencies.md lists what pyproject.toml asks for, no more and no less; every bound has two ends."""

import re
import tomllib
from pathlib import Path

ROOT = Path(__file__).parents[2]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
PAGE = (ROOT / "docs" / "dependencies.md").read_text(encoding="utf-8")


def listed() -> list[str]:
    """The first column of the first table."""
    table = PAGE.split("## What each is for")[1].split("\n## ")[0]
    return re.findall(r"^\| ([a-z][\w-]*) \| [\d.]+", table, re.MULTILINE)


def names(lines: list[str]) -> list[str]:
    return [re.split(r"[<>=\[ ]", line)[0] for line in lines]


def test_each_dependency_has_its_line_in_the_page() -> None:
    assert listed() == sorted(names(PROJECT["dependencies"]))


def test_each_extra_of_the_program_is_told_as_well() -> None:
    extras = {
        name: lines for name, lines in PROJECT["optional-dependencies"].items() if name in ("postgresql", "voice")
    }
    assert [name for lines in extras.values() for name in names(lines) if name not in PAGE] == []
    assert [name for name in extras if f"everyrung[{name}]" not in PAGE] == []


def test_each_dependency_of_the_program_has_a_lower_and_an_upper_bound() -> None:
    extras = PROJECT["optional-dependencies"]
    lines = [*PROJECT["dependencies"], *extras["postgresql"], *extras["voice"]]
    assert [line for line in lines if not re.search(r"==|>=[\d.]+,<[\d.]+$", line)] == []
