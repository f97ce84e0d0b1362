"""`everyrung weeks`: an example of the file, and mistakes said with their line. Planning itself: tests/blocks."""

from pathlib import Path

import pytest

from everyrung.cli import main


def test_an_example_can_be_planned_from(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "block.toml"
    assert main(["weeks", str(path), "--new"]) == 0
    assert "weeks = 6" in path.read_text()
    assert main(["weeks", str(path), "--new"]) == 2
    assert "not there yet" in capsys.readouterr().err
    path.write_text(path.read_text().replace("closed = []", "closed = [2020-01-01]"))
    assert main(["weeks", str(path)]) == 2
    said = capsys.readouterr().err
    assert "an evening of the block" in said
    assert "Nearest: " in said


def test_a_missed_day_that_was_closed_anyway(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "block.toml"
    main(["weeks", str(path), "--new"])
    path.write_text(path.read_text().replace("closed = []", "closed = [2027-01-11]"))
    before = path.read_text()
    assert main(["weeks", str(path), "--missed", "2027-01-11"]) == 2
    assert "not closed anyway" in capsys.readouterr().err
    assert path.read_text() == before


def test_a_sheet_of_what_is_not_planned_yet(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "block.toml"
    main(["weeks", str(path), "--new"])
    assert main(["weeks", str(path), "--sheet"]) == 2
    assert "Plan it first" in capsys.readouterr().err
