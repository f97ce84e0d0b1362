"""docs/python.md: every example runs, and prints what the page shows; the scripts in examples/ do what they say."""

import csv
import re
import subprocess
import sys
from pathlib import Path

import pytest
from python_page import BLOCK, LEFT_OUT, PAGE, ROOT, blocks, printed

import everyrung as er

TEXT = PAGE.read_text(encoding="utf-8")
EXAMPLES = ROOT / "examples"
DEMO = EXAMPLES / "boathouse-30.toml"
SCRIPTS = ("slots.py", "weeks.py", "ladder.py", "audiences.py")
SMALL = """
title = "Two sets"
slot_minutes = 5
[who]
in_room = 4
[[block]]
kind = "main"
name = "Main"
  [[block.move]]
  move = "squat"
  dose = "8 reps"
"""


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with the examples in it, where the page is followed."""
    (tmp_path / "examples").symlink_to(EXAMPLES)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def missing(shown: str, out: str) -> list[str]:
    """The lines shown that are not printed in their order; without a line left out, the lines printed too much too."""
    lines = iter(out.splitlines())
    wrong = [line for line in shown.splitlines() if line != LEFT_OUT and line not in lines]
    return wrong if LEFT_OUT in shown.splitlines() else wrong + list(lines)


def test_every_example_prints_what_the_page_shows(here: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "matplotlib", None)  # the page shows what is printed without it
    outputs = printed(TEXT)
    wrong = [line for (_, shown), out in zip(blocks(TEXT), outputs, strict=True) for line in missing(shown, out)]
    assert wrong == [], "`python scripts/write_python_page.py` writes what is printed into the page"
    assert er.load_plan(here / "squats.toml").title == "Squats, 8 at a time"


def test_a_line_that_is_not_printed_is_noticed(here: Path) -> None:
    assert (here / "examples").is_dir()
    lying = TEXT.replace("  findings: none\n", "  findings: 3 notes\n", 1)
    assert lying != TEXT
    first = "".join(match[0] for match in list(BLOCK.finditer(lying))[:2])
    (_, (_, shown)), outputs = blocks(first), printed(first)
    assert "  findings: 3 notes" in missing(shown, outputs[1])


def test_the_plot_is_drawn_where_matplotlib_is(here: Path) -> None:
    pytest.importorskip("matplotlib").use("Agg")
    start, end = TEXT.index("## 5."), TEXT.index("## 6.")
    printed(f"```python\nimport everyrung as er\n```\n{TEXT[start:end]}")
    assert (here / "squat.png").stat().st_size > 5000


def test_there_are_eight_worked_examples_with_output() -> None:
    parts = re.split(r"^## (\d+)\. ", TEXT, flags=re.MULTILINE)
    assert parts[1::2] == [str(number) for number in range(1, 9)]
    for part in parts[2::2]:
        assert any(shown for _, shown in blocks(part)), part[:40]


def test_every_public_function_is_in_the_table_with_what_it_gives() -> None:
    rows = dict(re.findall(r"^\| `(\w+)\([^|]*\| (?:`(\w+)`|a path) \|", TEXT, re.MULTILINE))
    functions = {name for name in er.__all__ if name[0].islower()}
    assert set(rows) == functions
    assert {gives for gives in rows.values() if gives} - {"Library"} <= set(er.__all__)


def test_the_page_is_linked_from_the_readme() -> None:
    assert "(docs/python.md)" in (ROOT / "README.md").read_text(encoding="utf-8")


def script(name: str, *words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, EXAMPLES / name, *words], capture_output=True, text=True, check=False, cwd=ROOT
    )


def test_every_script_is_on_the_page_and_short() -> None:
    assert sorted(path.name for path in EXAMPLES.glob("*.py")) == sorted(SCRIPTS)
    for name in SCRIPTS:
        assert f"../examples/{name}" in TEXT
        assert 15 <= len((EXAMPLES / name).read_text(encoding="utf-8").splitlines()) <= 42


def test_slots_says_what_goes_as_the_command_does() -> None:
    done = script("slots.py", str(DEMO), "25")
    assert done.returncode == 0, done.stderr
    command = [sys.executable, "-m", "everyrung.cli", "check", str(DEMO), "--minutes", "25"]
    shown = subprocess.run(command, capture_output=True, text=True, check=False).stdout
    lost = re.findall(r"^  Lost: (.*)$", shown, re.MULTILINE)
    assert lost
    assert [line.strip() for line in done.stdout.splitlines()[1:]] == lost
    (minutes,) = re.findall(r"^25 minutes: ([\d.]+) min, fit to lead\n", done.stdout)
    assert 23 < float(minutes) <= 25


def test_weeks_writes_plans_that_grow_by_a_repetition_and_keep_their_slot(tmp_path: Path) -> None:
    done = script("weeks.py", str(DEMO), str(tmp_path), "3")
    assert done.returncode == 0, done.stderr
    doses = []
    for week in (1, 2, 3):
        plan = er.load_plan(tmp_path / f"week-{week}.toml")
        assert plan.title.endswith(f", week {week}")
        (main,) = [block for block in plan.blocks if block.kind == "main"]
        doses.append([cell.dose.reps for cell in main.columns.values() if cell.dose and cell.dose.reps])
    assert doses[0]
    assert doses == [[reps + week for reps in doses[0]] for week in range(3)]
    assert all(float(minutes) <= 30 for minutes in re.findall(r": ([\d.]+) min", done.stdout))


def test_ladder_is_a_table_of_every_rung_on_every_body() -> None:
    done = script("ladder.py", "squat", "--bodies", "female 1.65 62")
    assert done.returncode == 0, done.stderr
    rows = list(csv.DictReader(done.stdout.splitlines()))
    ladder = er.library().move("squat").ladder
    assert [row["rung"] for row in rows] == [rung.address for rung in ladder]
    assert all(0 < float(row["fraction"]) < 2 for row in rows)


def test_audiences_is_a_table_of_every_rung_before_every_mix(tmp_path: Path) -> None:
    path = tmp_path / "small.toml"
    path.write_text(SMALL, encoding="utf-8")
    done = script("audiences.py", str(path), "--mixes", "boathouse", "over-sixty", "--count", "60")
    assert done.returncode == 0, done.stderr
    rows = list(csv.DictReader(done.stdout.splitlines()))
    assert {row["mix"] for row in rows} == {"boathouse", "over-sixty"}
    assert len(rows) == 2 * len(er.rehearse(path, count=60).rows("rungs"))
    assert all(0 <= float(row["finishing_low"]) <= float(row["finishing_high"]) <= 1 for row in rows)


@pytest.mark.parametrize("name", ["slots.py", "weeks.py", "audiences.py"])
def test_a_script_says_in_words_that_a_file_is_missing(name: str, tmp_path: Path) -> None:
    done = script(name, "none.toml", *([str(tmp_path), "2"] if name == "weeks.py" else []))
    assert done.returncode == 1
    assert "none.toml: file: expected a file that can be read" in done.stderr
    assert "Traceback" not in done.stderr
