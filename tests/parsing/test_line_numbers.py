"""Every key of a plan is found on the line where it is written."""

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from everyrung.parsing.line_numbers import LineNumbers

ROOT = Path(__file__).parents[2]
TEXT = """\
title = "x"

[who]
in_room = 3

[[block]]
kind = "main"
  [[block.move]]
  move = "squat"
  [[block.round]]
  name = "One"
  cell.squat = { dose = "10 reps", options = { easier = "wall" } }
  [[block.round]]
  name = "Two"
  cell."split squat".add = [
    { pause = "2 s" },  # low
    { load = "10 lb" },
  ]
[[block]]
kind = "cool-down"
  [[block.move]]
  move = "calf-stretch"
"""


def test_lines_of_tables_lists_inline_tables_and_dotted_keys() -> None:
    places = LineNumbers(TEXT)
    assert places.line(("title",)) == 1
    assert places.line(("who", "in_room")) == 4
    assert places.line(("block", 0, "move", 0, "move")) == 9
    assert places.line(("block", 0, "round", 0, "cell", "squat", "options", "easier")) == 12
    assert places.line(("block", 0, "round", 1, "cell", "split squat", "add", 1)) == 17
    assert places.line(("block", 1, "kind")) == 20
    assert places.line(("block", 1, "move", 0, "move")) == 22


def test_a_key_that_is_missing_is_placed_at_its_table() -> None:
    assert LineNumbers(TEXT).line(("block", 1, "name")) == 19


@given(st.lists(st.integers(1, 4), min_size=1, max_size=6))
def test_inner_lists_start_anew_in_each_outer_element(sizes: list[int]) -> None:
    """Second way: the value of each key is its own line number, read by the standard library."""
    lines: list[str] = []
    for size in sizes:
        lines.append("[[outer]]")
        for _ in range(size):
            lines.append("[[outer.inner]]")
            lines.append(f"line = {len(lines) + 1}")
    text = "\n".join(lines)
    places = LineNumbers(text)
    for at, outer in enumerate(tomllib.loads(text)["outer"]):
        for within, inner in enumerate(outer["inner"]):
            assert places.line(("outer", at, "inner", within, "line")) == inner["line"]


def paths(value: Any, path: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    """Every key path of a document, as the standard library reads it."""
    if path:
        yield path
    if isinstance(value, dict):
        for key, each in value.items():
            yield from paths(each, (*path, key))
    elif isinstance(value, list):
        for place, each in enumerate(value):
            yield from paths(each, (*path, place))


KEYS = st.sampled_from(["a", "b", "c-1", "3", '"q x"', '"a.b"', "'l]it'", '"es\\"c"', "1979-05"])
DOTTED = st.lists(KEYS, min_size=1, max_size=3).map(" . ".join)
SCALARS = st.sampled_from([
    "1", "-1.5e3", "true", '"s # [x]"', "'lit = {'", "1979-05-27 07:32:00.5", "07:32:00", '""', '"\\\\"', "inf",
    '"""m\n""two"" \\""" [a]\n"""', "'''x\n''y'' '''", '""""q"""""',
])  # fmt: skip
INLINE = st.lists(st.builds("{} = {}".format, DOTTED, SCALARS), max_size=3).map(
    lambda pairs: f"{{ {', '.join(pairs)} }}"
)
VALUES = st.recursive(
    SCALARS | INLINE,
    lambda inner: st.builds(
        lambda items, between, end: f"[{between.join(items)}{end}]",
        st.lists(inner, max_size=3), st.sampled_from([", ", ",\n  ", " , # c ]\n"]), st.sampled_from(["", " # x\n"]),
    ),
    max_leaves=6,
)  # fmt: skip
LINES = st.one_of(
    DOTTED.map("[{}]".format),
    st.builds("[[{}]]{}".format, DOTTED, st.sampled_from(["", " # c"])),
    st.builds("{} = {}{}".format, DOTTED, VALUES, st.sampled_from(["", "  # behind"])),
    st.sampled_from(["", "# [c]"]),
)


@given(st.lists(LINES, max_size=7).map("\n".join))
def test_the_keys_of_any_document_are_those_that_the_standard_library_reads(text: str) -> None:
    """Second way: tomllib. Each key stands on a line in which it, or the list that it is in, is written."""
    try:
        document = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return
    numbers = LineNumbers(text)
    assert set(numbers._lines) == set(paths(document))
    lines = text.split("\n")
    for path, line in numbers._lines.items():
        if isinstance(path[-1], str):
            assert any(each in lines[line - 1] for each in (path[-1], path[-1].replace('"', '\\"')))


def test_a_list_with_a_comment_behind_it_has_its_lines() -> None:
    numbers = LineNumbers('limits = [\n  "overhead",\n  "wrist load",\n]  # of who comes\n')
    assert [numbers.line(("limits", place)) for place in range(2)] == [2, 3]


def test_every_file_of_the_program_has_a_line_for_each_of_its_keys() -> None:
    for path in [*(ROOT / "src").rglob("*.toml"), *(ROOT / "examples").glob("*.toml")]:
        text = path.read_text(encoding="utf-8")
        assert set(LineNumbers(text)._lines) == set(paths(tomllib.loads(text))), path
