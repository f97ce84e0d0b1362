"""Every key of a plan is found on the line where it is written."""

import tomllib

from hypothesis import given
from hypothesis import strategies as st

from everyrung.parsing.document import LineNumbers

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
