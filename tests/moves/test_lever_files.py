"""A lever is three files: what it is (terms/lever.py), what it does to a form (moves/levers.py), how it is written,
said and offered (moves/lever_words.py). mypy holds the matches exhaustive; these tests hold the tables so.
"""

import ast
from functools import cache
from pathlib import Path
from typing import get_args

import pytest

import everyrung
from everyrung.moves import lever_words, levers
from everyrung.terms.lever import LEVER_WORDS, Lever

PACKAGE = Path(everyrung.__file__).parent
HOMES = {Path("terms/lever.py"), Path("moves/levers.py"), Path("moves/lever_words.py")}
MATCHED = {"apply", "hardens", "write_lever", "lever_phrase"}
NAMES = {lever.__name__ for lever in get_args(Lever)}


@cache
def nodes(path: Path) -> tuple[ast.AST, ...]:
    return tuple(ast.walk(ast.parse(path.read_text(encoding="utf-8"))))


@cache
def files_that_name(names: frozenset[str]) -> tuple[Path, ...]:
    """Those with one of these words anywhere, the only ones worth parsing; inside the package."""
    every = ((path, path.read_text(encoding="utf-8")) for path in PACKAGE.rglob("*.py"))
    return tuple(path.relative_to(PACKAGE) for path, text in every if any(name in text for name in names))


def matches(path: Path) -> dict[str, list[ast.match_case]]:
    """The cases of each match, by the function that it stands in."""
    return {
        function.name: node.cases
        for function in nodes(PACKAGE / path) if isinstance(function, ast.FunctionDef)
        for node in ast.walk(function) if isinstance(node, ast.Match)
    }  # fmt: skip


def named_in(cases: list[ast.match_case]) -> set[str]:
    """The levers that the cases name."""
    return {part.attr for case in cases for part in ast.walk(case.pattern) if isinstance(part, ast.Attribute)}


def test_every_word_is_that_of_one_lever() -> None:
    assert sorted(lever.word for lever in get_args(Lever)) == sorted(LEVER_WORDS)


def test_every_table_of_levers_has_every_lever() -> None:
    assert set(lever_words._READERS) == set(LEVER_WORDS)
    assert set(lever_words.STEPS) == set(LEVER_WORDS)
    assert {*levers.TRACES, *levers.BEYOND_FORM} == set(LEVER_WORDS)


@pytest.mark.parametrize("path", ["moves/levers.py", "moves/lever_words.py"])
def test_a_match_over_levers_ends_in_assert_never_and_in_no_silent_case(path: str) -> None:
    found = {name: cases for name, cases in matches(Path(path)).items() if name in MATCHED}
    assert found
    for name, cases in found.items():
        last = cases[-1]
        assert ast.unparse(last.body[0]) == "assert_never(never)", name
        assert not [case for case in cases[:-1] if isinstance(case.pattern, ast.MatchAs)], name
        named = {
            ast.unparse(part) for case in cases for part in ast.walk(case.pattern) if isinstance(part, ast.Attribute)
        }
        assert {each.removeprefix("levers.") for each in named} == NAMES, name


def test_no_other_file_matches_over_levers() -> None:
    for path in set(files_that_name(frozenset(NAMES))) - HOMES:
        for name, cases in matches(path).items():
            assert not named_in(cases) & NAMES, f"{path}: {name} matches over levers"


@pytest.mark.parametrize(
    "lever", ["ExtraChange", "Pulse", "RotationChange", "ReachChange", "PressChange", "SurfaceChange"]
)
def test_a_lever_is_named_in_three_files_at_most(lever: str) -> None:
    """Those that nothing is built on: a proposal puts on pauses, repetitions and loads, and says so where it does."""
    naming = {
        path
        for path in files_that_name(frozenset({lever}))
        if any(
            lever in (getattr(node, "attr", ""), getattr(node, "id", ""))
            or (isinstance(node, ast.ClassDef) and node.name == lever)
            for node in nodes(PACKAGE / path)
        )
    }  # fmt: skip
    assert naming == HOMES
