"""`everyrung mend` and `everyrung change`: what is done, what is left, and the files they write."""

from pathlib import Path

import pytest

from everyrung.cli import main

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture
def long(tmp_path: Path) -> Path:
    """A session three minutes too long for its slot."""
    path = tmp_path / "long.toml"
    text = (EXAMPLES / "office-20.toml").read_text(encoding="utf-8")
    path.write_text(text.replace("slot_minutes = 20", "slot_minutes = 17"), encoding="utf-8")
    return path


def test_a_plan_is_mended_and_written_over_itself(long: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(long)]) == 1
    assert main(["mend", str(long)]) == 0
    assert main(["check", str(long)]) == 1, "nothing is written without --out"
    assert main(["mend", str(long), "--out", str(long)]) == 0
    said = capsys.readouterr().out
    assert "Leave out" in said
    assert "errors: 0 in place of 1" in said
    assert main(["check", str(long)]) == 0
    assert main(["mend", str(long)]) == 0
    assert "Nothing was changed." in capsys.readouterr().out


def test_what_stands_in_the_way_is_said(long: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = long.read_text(encoding="utf-8").replace("[[block]]", "[[block]]\nlock = true")
    long.write_text(text, encoding="utf-8")
    assert main(["mend", str(long)]) == 1
    said = capsys.readouterr().out
    assert "error slot-overrun at whole session stays" in said
    assert "it changes what is locked" in said


def test_a_change_is_offered_and_one_is_taken(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plan, out = str(EXAMPLES / "office-20.toml"), tmp_path / "swapped.toml"
    assert main(["change", plan, "--swap", "Main/Two/march", "--take", "2", "--out", str(out)]) == 0
    said = capsys.readouterr().out
    assert "in place of seated march" in said
    assert "Number 2 is written to" in said
    assert main(["check", str(out)]) == 0
    assert main(["change", plan, "--fewer-kit-changes"]) == 1
    assert "Nothing works: nothing of the kind is left to do." in capsys.readouterr().out


def test_a_place_or_a_number_that_is_not_there_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plan = str(EXAMPLES / "one-dumbbell-30.toml")
    assert main(["change", plan, "--harder", "Main/Nine"]) == 2
    assert "Nearest: Main/One" in capsys.readouterr().err
    assert main(["change", plan, "--one-more", "--take", "4", "--out", str(tmp_path / "no.toml")]) == 2
    assert "one of the 1 ways" in capsys.readouterr().err


def test_lengths_are_written_and_what_cannot_be_had_is_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plan, out = EXAMPLES / "boathouse-30.toml", tmp_path / "lengths"
    assert main(["lengths", str(plan), "--minutes", "20", "--out", str(out)]) == 0
    assert main(["check", str(out / "boathouse-30-20.toml")]) == 0
    assert main(["lengths", str(plan), "--minutes", "8"]) == 1
    assert "Can't be done: 8 minutes: " in capsys.readouterr().out
