"""What can be held of Windows and macOS by reading: the same calls everywhere, names that every system can write."""

import ast
import os
import re
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from everyrung.publish import card
from everyrung.store import files
from everyrung.store.backups import Backups

ROOT = Path(__file__).parents[2]
SHIPPED = [*(ROOT / "src").rglob("*.py"), *(ROOT / "examples").glob("*.py"), ROOT / "run.py", ROOT / "hatch_build.py"]
FOLDERS = ("examples", "scripts", "benchmarks", "docs/accuracy")
SCRIPTS = [path for folder in FOLDERS for path in (ROOT / folder).glob("*.py")]
# Only on some systems, by Python's own library reference ("Availability: Unix").
UNIX_MODULES = {"resource", "fcntl", "pwd", "grp", "termios", "pty", "tty", "syslog"}
UNIX_NAMES = {
    "fork", "forkpty", "killpg", "setsid", "getpgid", "getuid", "geteuid", "uname", "sysconf", "SIGKILL", "SIGHUP",
    "SIGALRM", "alarm", "preexec_fn", "start_new_session", "mkfifo", "chown",
}  # fmt: skip
# What Windows refuses in the name of a file: Microsoft, "Naming Files, Paths, and Namespaces".
REFUSED = re.compile(r'[<>:"/\\|?*\x00-\x1f]|[. ]$|^(con|prn|aux|nul|com[0-9¹²³]|lpt[0-9¹²³])(\.|$)', re.IGNORECASE)


@cache
def nodes(path: Path) -> tuple[ast.AST, ...]:
    return tuple(ast.walk(ast.parse(path.read_text(encoding="utf-8"))))


def names(node: ast.AST) -> Iterator[str]:
    if isinstance(node, ast.Import):
        yield from (alias.name for alias in node.names)
    elif isinstance(node, ast.ImportFrom):
        yield from (node.module or "", *(alias.name for alias in node.names))
    elif isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id in ("os", "signal"):
        yield node.attr
    elif isinstance(node, ast.keyword) and node.arg:
        yield node.arg


def test_nothing_is_used_that_only_unix_has() -> None:
    bad = UNIX_MODULES | UNIX_NAMES
    assert [(path.name, name) for path in SHIPPED for node in nodes(path) for name in names(node) if name in bad] == []


def test_no_folder_of_one_system_is_written_in_the_code() -> None:
    texts = [(path.name, str(node.value)) for path in SHIPPED for node in nodes(path) if isinstance(node, ast.Constant)]
    assert [each for each in texts if re.match(r"/(tmp|dev|proc|var|home|usr)\b", each[1])] == []


def test_processes_are_started_in_one_place_and_spawned() -> None:
    starters = {"Process", "Pool", "ProcessPoolExecutor", "get_context", "set_start_method"}
    found = {path.name for path in SHIPPED for node in nodes(path) for name in names(node) if name in starters}
    assert found == {"processes.py"}
    assert 'get_context("spawn")' in (ROOT / "src" / "everyrung" / "processes.py").read_text(encoding="utf-8")


def test_text_is_read_and_written_as_utf_8_whatever_the_system_takes() -> None:
    wrong = [
        (path.name, node.lineno)
        for path in SHIPPED
        if path.name != "hatch_build.py"  # a part of the stamp that it writes, which is plain digits
        for node in nodes(path)
        if isinstance(node, ast.Call) and _opens_text(node) and "encoding" not in [each.arg for each in node.keywords]
    ]
    assert wrong == []


def _opens_text(call: ast.Call) -> bool:
    if isinstance(call.func, ast.Attribute):
        return call.func.attr in ("read_text", "write_text") and not (call.func.attr == "read_text" and call.args)
    opened = isinstance(call.func, ast.Name) and call.func.id == "open"
    return opened and not any(isinstance(each, ast.Constant) and "b" in str(each.value) for each in call.args[1:])


@pytest.mark.parametrize("path", SCRIPTS, ids=lambda path: path.name)
def test_a_script_does_its_work_under_a_guard(path: Path) -> None:
    """Or each process that computes bodies, reading it anew, would do it once more. Before imports it may set paths."""
    body = ast.parse(path.read_text(encoding="utf-8")).body
    calls = [each.value for each in body if isinstance(each, ast.Expr) and isinstance(each.value, ast.Call)]
    assert [
        ast.unparse(call) for call in calls if not ast.unparse(call.func).startswith(("sys.path.", "os.environ."))
    ] == []


def test_every_file_of_the_project_can_be_checked_out_anywhere() -> None:
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False).stdout.split(
        "\n"
    )
    parts = {part for path in listed for part in path.split("/")}
    assert [part for part in parts if REFUSED.search(part)] == []
    assert len({path.casefold() for path in listed}) == len(listed)


@given(
    st.lists(
        st.one_of(st.text(max_size=30), st.sampled_from(["CON", "nul", "a:b", "..", "Zoë .", "com1.txt"])), max_size=8
    )
)
def test_a_card_s_file_has_a_name_that_every_system_takes(people: list[str]) -> None:
    made = card.file_names(people)
    assert len({name.casefold() for name in made}) == len(people)
    assert [name for name in made if REFUSED.search(f"plan-{name}.html") or not name.isascii()] == []


def test_a_making_replaces_nothing_that_somebody_may_have_open(tmp_path: Path) -> None:
    """As on Windows, where an open file is neither replaced nor deleted: here no old file may be touched at all."""
    folder = tmp_path / "stage"
    first = files.next_edition(folder)
    first.mkdir(parents=True)
    (first / "run-sheet.json").write_text("first")
    with (first / "run-sheet.json").open() as still_read:
        second = files.next_edition(folder)
        second.mkdir()
        assert second != first
        assert files.latest_edition(folder, "run-sheet.json") == first  # the other is not whole yet
        (second / "run-sheet.json").write_text("second")
        assert files.latest_edition(folder, "run-sheet.json") == second
        assert still_read.read() == "first"
    files.drop_others(second)
    assert list(folder.iterdir()) == [second]


def test_what_the_system_does_not_let_go_of_stays_and_is_no_error(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def open_somewhere(*_: Any, **__: Any) -> None:
        raise PermissionError(13, "in use")

    (tmp_path / "9").mkdir()
    (tmp_path / "10").mkdir()
    (tmp_path / "9" / "film.mp4").write_text("")
    (tmp_path / "of-an-older-version.html").write_text("")
    for call in ("os.unlink", "os.rmdir", "pathlib.Path.unlink"):
        monkeypatch.setattr(call, open_somewhere)
    files.drop_others(tmp_path / "10")
    assert (tmp_path / "9" / "film.mp4").exists()
    assert files.next_edition(tmp_path) == tmp_path / "11"


def test_a_home_of_any_name_has_its_backups(tmp_path: Path) -> None:
    """SQLite reads a name as an address, in which %, ? and a drive's backslashes mean something else."""
    database = tmp_path / "50%41 off?" / "studio.sqlite"
    database.parent.mkdir()
    with closing(sqlite3.connect(database)) as file, file:
        file.execute("CREATE TABLE one (x)")
    made = Backups(database=database).take()
    assert made
    with closing(sqlite3.connect(made)) as file:
        assert file.execute("SELECT name FROM sqlite_master").fetchall() == [("one",)]


def test_a_name_that_the_window_cannot_show_stops_no_command(tmp_path: Path) -> None:
    plan = tmp_path / "a.toml"
    text = (ROOT / "tests" / "cli" / "small.toml").read_text(encoding="utf-8")
    plan.write_text(text.replace('title = "', 'title = "Zoë ', 1), encoding="utf-8")
    ascii_only = {**os.environ, "PYTHONIOENCODING": "ascii"}
    command = [sys.executable, "-m", "everyrung.cli", "check", str(plan)]
    done = subprocess.run(command, capture_output=True, text=True, check=False, env=ascii_only)
    assert "Traceback" not in done.stderr
    assert "Zo? " in done.stdout
