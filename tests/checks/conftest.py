"""A clean plan of an evening at the boathouse, and ways to break one thing of it."""

import shutil
from collections.abc import Callable
from importlib.resources import as_file, files
from pathlib import Path

import pytest

from everyrung.checks.registry import check
from everyrung.moves.library import Library, standard_library
from everyrung.plan.read import plan_from_text
from everyrung.plan.resolve import resolve
from everyrung.terms.finding import Finding
from everyrung.terms.session import Session
from everyrung.timing.timeline import build_timeline

Edits = tuple[tuple[str, str], ...]

BASE = """\
title = "Boathouse evening"
slot_minutes = 38
level = "moderate"
newcomer_rounds = 2
cut_order = ["Main/Three"]

[who]
in_room = 12
at_home = 9
newcomers = true

[[kit]]
item = "dumbbells"
mass = "10 lb"
as = "pairs"
count = 12

[[kit]]
item = "band"
grade = "light band"
count = 12

[[kit]]
item = "chair"
each = 1

[clock]  # the coach's own, so that these tests don't hang on the standard table
explain_first = "18 s"
explain_change = "7 s"
explain_same = "3 s"
explain_follow = "4 s"
settle = "4 s"
count_in = "3 s"
side_switch = "5 s"
hand_change = "2 s"
down_to_floor = "6 s"
up_from_floor = "7 s"
turn_over = "4 s"
dumbbells = "5 s"
ball = "5 s"
band = "8 s"
chair = "8 s"
wall = "4 s"
rest = "15 s"

[[block]]
kind = "announcement"
talk = "0:20"
say = [
  "New to this, or trouble with heart, kidneys or sugar? Ask your doctor first.",
  "Choose your version. Stop for pain, a tight chest or dizziness.",
]

[[block]]
kind = "warm-up"
name = "Warm-up"
  [[block.move]]
  move = "squat-and-reach"
  dose = "1:30"
  [[block.move]]
  move = "push-up"
  as = "wall-push"
  rung = "wall"
  dose = "1:30"
  [[block.move]]
  move = "reach-and-fold"
  dose = "1:28"

[[block]]
kind = "main"
name = "Main"
round_rest = "0:40"
  [[block.move]]
  move = "split-squat"
  as = "lunge"
  dose = "8 a side"
  [[block.move]]
  move = "hip-hinge"
  as = "hinge"
  dose = "10 reps"
  [[block.move]]
  move = "bent-row"
  as = "row"
  dose = "10 reps"
  [[block.move]]
  move = "overhead-press"
  as = "press"
  dose = "10 reps"
  [[block.move]]
  move = "push-up"
  as = "push"
  rung = "knees"
  dose = "8 reps"
  [[block.move]]
  move = "bridge"
  dose = "10 reps"
  [[block.move]]
  move = "dead-bug"
  as = "bug"
  rung = "half"
  dose = "12 in all"

  [[block.round]]
  name = "One"

  [[block.round]]
  name = "Two"
  like = "One"
  cell.hinge = { dose = "12 reps" }

  [[block.round]]
  name = "Three"
  like = "Two"
  cell.bridge = { dose = "12 reps" }

[[block]]
kind = "cool-down"
name = "Cool-down"
  [[block.move]]
  move = "calf-stretch"
  dose = "60 s a side"
  [[block.move]]
  move = "back-thigh-stretch"
  dose = "60 s a side"
  [[block.move]]
  move = "chest-opener"
  dose = "1:00"

[[block]]
kind = "reserve"
name = "Extra"
  [[block.move]]
  move = "calf-raise"
  dose = "12 reps"
"""


def edited(edits: Edits) -> str:
    """The clean plan with each text replaced once; a text that is not there is a mistake of the test."""
    text = BASE
    for old, new in edits:
        assert old in text, f"not in the plan: {old!r}"
        text = text.replace(old, new, 1)
    return text


@pytest.fixture
def session() -> Callable[..., Session]:
    """The session of the clean plan with some edits, by the standard library unless another is given."""

    def make(*edits: tuple[str, str], library: Library | None = None) -> Session:
        return resolve(plan_from_text(edited(edits), "plan.toml"), library or standard_library())

    return make


@pytest.fixture
def findings(session: Callable[..., Session]) -> Callable[..., tuple[Finding, ...]]:
    """Every finding in the clean plan with some edits."""

    def find(*edits: tuple[str, str], library: Library | None = None) -> tuple[Finding, ...]:
        made = session(*edits, library=library)
        return check(made, build_timeline(made))

    return find


@pytest.fixture
def library_with(tmp_path: Path) -> Callable[..., Library]:
    """The standard library with one move's file changed."""

    def make(move: str, *edits: tuple[str, str]) -> Library:
        folder = tmp_path / "library"
        with as_file(files("everyrung.moves") / "library") as moves:
            shutil.copytree(moves, folder)
        path = folder / f"{move}.toml"
        text = path.read_text(encoding="utf-8")
        for old, new in edits:
            assert old in text, f"not in {move}: {old!r}"
            text = text.replace(old, new, 1)
        path.write_text(text, encoding="utf-8")
        return Library(folder)

    return make
