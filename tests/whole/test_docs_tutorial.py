"""The tutorial is followed word for word: its file is written, its commands are run, its output is looked for."""

import os
import re
import shlex
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

PAGE = (Path(__file__).parents[2] / "docs" / "tutorial.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"^```(toml append|toml top|diff|console)\n(.*?)^```$", PAGE, re.MULTILINE | re.DOTALL)


def everyrung(command: str, folder: Path) -> tuple[int, list[str]]:
    """Exit code and all lines of a command, those on stderr last."""
    words = [sys.executable, "-m", "everyrung.cli", *shlex.split(command)[1:]]
    home = {**os.environ, "EVERYRUNG_HOME": str(folder / "home")}
    done = subprocess.run(words, cwd=folder, env=home, capture_output=True, text=True, check=False)
    return done.returncode, [line.rstrip() for line in (done.stdout + done.stderr).splitlines()]


def changed(plan: str, kind: str, text: str) -> str:
    """The plan after one block of the page."""
    if kind == "toml append":
        return plan + text
    if kind == "toml top":
        return plan.replace("\n[", f"{text}\n[", 1)
    old = "".join(line[1:] + "\n" for line in text.splitlines() if line.startswith("-"))
    new = "".join(line[1:] + "\n" for line in text.splitlines() if line.startswith("+"))
    assert plan.count(old) == 1, f"not in the plan just once: {old!r}"
    return plan.replace(old, new)


def in_order(shown: list[str], printed: list[str]) -> list[str]:
    """The shown lines that do not come in the printed ones, in their order."""
    left = iter(printed)
    return [line for line in shown if line != "…" and line not in left]


def follow(folder: Path) -> list[str]:
    """Goes through the page in `folder`; returns what is not as the page says."""
    wrong: list[str] = []
    plan, code = "", 0
    for kind, text in BLOCKS:
        if kind != "console":
            plan = changed(plan, kind, text)
            (folder / "evening.toml").write_text(plan, encoding="utf-8")
            continue
        for step in re.split(r"^\$ ", text, flags=re.MULTILINE)[1:]:
            command, *shown = step.rstrip("\n").split("\n")
            if command == "echo $?":
                wrong += [] if shown == [str(code)] else [f"exit code {code}, shown {shown}"]
                continue
            code, printed = everyrung(command, folder)
            wrong += [f"{command}: {line}" for line in in_order(shown, printed)]
    return wrong


def test_following_the_tutorial_gives_what_it_shows(tmp_path: Path, share_results: Callable[[Path], None]) -> None:
    share_results(tmp_path / "home")
    assert follow(tmp_path) == []
    assert sorted(path.suffix for path in (tmp_path / "sheets").iterdir()) == [".html", ".pdf", ".svg"]


def test_it_takes_ten_steps_and_shows_real_output() -> None:
    assert re.findall(r"^## (\d+)\.", PAGE, re.MULTILINE) == [str(step) for step in range(1, 11)]
    shown = [line for kind, text in BLOCKS if kind == "console" for line in text.splitlines()]
    assert {"0", "1", "2"} <= {shown[at + 1] for at, line in enumerate(shown) if line == "$ echo $?"}
    assert len([line for line in shown if line != "…" and not line.startswith("$")]) > 25


def test_a_line_that_is_not_printed_is_noticed(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, share_results: Callable[[Path], None]
) -> None:
    share_results(tmp_path / "home")
    lying = [(kind, text.replace("evening.toml\n", "evening.toml\nAll is well.\n", 1)) for kind, text in BLOCKS]
    first = next(at for at, (told, true) in enumerate(zip(lying, BLOCKS, strict=True)) if told != true)
    monkeypatch.setattr(sys.modules[__name__], "BLOCKS", lying[: first + 1])  # what comes after it takes long
    assert any(line.endswith("All is well.") for line in follow(tmp_path))
