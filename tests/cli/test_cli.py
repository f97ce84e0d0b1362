"""The commands: results on stdout, progress on stderr, exit codes 0, 1 and 2, never a traceback."""

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from everyrung.cli import main
from everyrung.cli.page import page
from everyrung.store.files import replace_text

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "examples" / "boathouse-30.toml"


def test_the_page_in_the_docs_is_what_the_program_says() -> None:
    assert (ROOT / "docs" / "cli.md").read_text() == page()


def test_check_prints_the_sums_and_exits_clean(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(DEMO)]) == 0
    out, err = capsys.readouterr()
    assert "Boathouse" in out
    assert "side switch" in out
    assert not err


def test_explain_lists_each_default_and_why(capsys: pytest.CaptureFixture[str]) -> None:
    main(["check", str(DEMO), "--explain"])
    out = capsys.readouterr().out
    assert "Defaults taken:" in out
    assert "(the rung of the ladder that changes least)" in out


def test_json_holds_the_same_facts(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(DEMO), "--json", "--explain", "--minutes", "25"]) in (0, 1)
    values = json.loads(capsys.readouterr().out)
    assert sum(values["by_kind_ms"].values()) == values["total_ms"] == values["spans"][-1]["end_ms"]
    assert values["refit"]["after_ms"] == values["total_ms"]
    assert values["defaults"]
    assert values["clean"] is True
    assert sum(values["by_block_ms"].values()) == values["total_ms"]
    for span in values["spans"]:
        ends = [phase["end_ms"] for phase in span["phases"]]
        assert (span["bout"] is not None) == bool(ends)
        assert not ends or (span["phases"][0]["at_ms"], ends[-1]) == (span["at_ms"], span["end_ms"])
    loaded = [bout for cell in values["cells"] for bout in cell["bouts"] if bout["load"]]
    assert loaded
    assert all(bout["carry"] and bout["load_side"] for bout in loaded)
    assert all(set(cell["options"]) <= {"harder", "easier", "no-kit"} for cell in values["cells"])


def test_moves_lists_every_move(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["moves"]) == 0
    plain = capsys.readouterr().out
    assert main(["moves", "--json"]) == 0
    moves = json.loads(capsys.readouterr().out)
    assert len(moves) >= 36
    assert all(f"  {move['key']}: " in plain for move in moves)


def test_rewrite_prints_and_leaves_the_file_alone(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plan = tmp_path / "plan.toml"
    text = (
        'title = "x"\nslot_minutes = 20\n[who]\nin_room = 1\n[[block]]\nkind = "announcement"\ntalk = 60 # a minute\n'
    )
    plan.write_text(text)
    assert main(["rewrite", str(plan)]) == 0
    assert 'talk = "1:00" # a minute' in capsys.readouterr().out
    assert plan.read_text() == text
    assert main(["rewrite", "--write", str(plan)]) == 0
    assert plan.read_text() == text.replace("talk = 60", 'talk = "1:00"')


def test_rewriting_follows_a_link_and_keeps_windows_line_ends(tmp_path: Path) -> None:
    plan, link = tmp_path / "plan.toml", tmp_path / "link.toml"
    head = b'title = "x"\r\nslot_minutes = 20\r\n[who]\r\nin_room = 1\r\n[[block]]\r\nkind = "announcement"\r\n'
    plan.write_bytes(head + b"talk = 60\r\n")
    link.symlink_to(plan)
    assert main(["rewrite", "--write", str(link)]) == 0
    assert link.is_symlink()
    assert plan.read_bytes() == head + b'talk = "1:00"\r\n'


@pytest.mark.parametrize(
    "arguments",
    [["nonsense"], ["check"], ["check", "no-such.toml"], ["check", str(DEMO), "--minutes", "3"], ["check", str(ROOT)]],
)
def test_wrong_usage_and_unreadable_input_exit_2(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    try:
        code = main(arguments)
    except SystemExit as stop:
        code = int(stop.code or 0)
    assert code == 2
    assert capsys.readouterr().err


def test_a_faulty_file_is_named_and_left_alone(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plan = tmp_path / "plan.toml"
    text = DEMO.read_text().replace("slot_minutes = 30", "slot_minutes = 0")
    plan.write_text(text)
    assert main(["rewrite", "--write", str(plan)]) == 2
    assert "slot_minutes: expected a whole number from 5 to 240; got 0." in capsys.readouterr().err
    assert plan.read_text() == text


def test_a_slot_that_cannot_be_kept_exits_1(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(DEMO), "--minutes", "90"]) == 1
    assert "Not yet right: it is" in capsys.readouterr().out
    assert main(["sheet", str(DEMO), "--minutes", "90", "--out", str(tmp_path)]) == 1


def test_a_sheet_with_errors_is_written_and_exits_1(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["sheet", str(DEMO.with_name("faulty.toml")), "--out", str(tmp_path)]) == 1
    assert len(capsys.readouterr().out.split()) == 3
    assert (tmp_path / "faulty.pdf").stat().st_size > 10_000


def test_a_home_that_cannot_be_found_is_said(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("EVERYRUNG_HOME", "~nobody-of-that-name/x")
    assert main(["sheet", str(DEMO)]) == 2
    assert "EVERYRUNG_HOME: expected a folder" in capsys.readouterr().err


def test_a_failed_replacement_leaves_the_old_file_and_no_litter(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "kept.txt"
    path.write_text("old")

    def no_room(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.replace", no_room)
    with pytest.raises(OSError, match="No space"):
        replace_text(path, "new")
    assert path.read_text() == "old"
    assert [each.name for each in tmp_path.iterdir()] == ["kept.txt"]


def test_the_installed_program_runs_as_a_program(tmp_path: Path, share_results: Callable[[Path], None]) -> None:
    share_results(tmp_path)
    done = subprocess.run(
        [sys.executable, "-m", "everyrung.cli", "sheet", str(DEMO)],
        env={**os.environ, "EVERYRUNG_HOME": str(tmp_path)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    paths = [Path(line) for line in done.stdout.splitlines()]
    assert {path.suffix for path in paths} == {".html", ".pdf", ".svg"}
    assert all(path.is_file() and path.is_relative_to(tmp_path) for path in paths)


def test_a_folder_that_cannot_be_written_is_said_in_words(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    blocked = tmp_path / "a-file"
    blocked.write_text("")
    assert main(["sheet", str(DEMO), "--out", str(blocked / "inside")]) == 2
    assert "Check the folder" in capsys.readouterr().err
