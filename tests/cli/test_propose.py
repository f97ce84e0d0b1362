"""`everyrung propose`: what was understood, sessions with their reasons, and their files."""

from pathlib import Path

import pytest

from everyrung.cli import main


def test_a_brief_becomes_files_that_check_clean(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = ["propose", "20 min arms, moonlight, two 2.5 kg", "--count", "1", "--out", str(tmp_path), "--title", "Arms"]
    assert main(words) == 0
    said = capsys.readouterr()
    assert "'20 min': 20 minutes" in said.err
    assert "Not understood: moonlight" in said.err
    assert "1. Arms: 19:" in said.out or "1. Arms: 20:00" in said.out
    file = tmp_path / "1-arms.toml"
    assert str(file) in said.out
    assert main(["check", str(file)]) == 0


def test_what_cannot_be_is_said_in_a_sentence(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["propose", "3 minutes of legs"]) == 2
    assert "10 to 120 minutes" in capsys.readouterr().err
