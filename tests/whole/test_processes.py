"""Processes that compute bodies: a script without a guard is told so, and an ended process is told in a sentence."""

import subprocess
import sys
from pathlib import Path

import pytest

from everyrung.processes import computing_pool
from everyrung.terms.errors import ProcessEnded

WORK = """
from everyrung.processes import computing_pool

def work():
    with computing_pool(2) as pool:
        print(*pool.map(abs, [-1, 2]))

"""


def said_by(script: Path, text: str) -> subprocess.CompletedProcess[str]:
    script.write_text(text, encoding="utf-8")
    return subprocess.run([sys.executable, script], capture_output=True, text=True, check=False, timeout=60)


def test_a_script_without_a_guard_is_told_where_to_put_its_work(tmp_path: Path) -> None:
    done = said_by(tmp_path / "bare.py", WORK + "work()\n")
    assert done.returncode == 1
    assert 'Put its work under `if __name__ == "__main__":`' in done.stderr.splitlines()[-1]
    assert "bootstrapping" not in done.stderr  # what Python says of it by itself, thirty lines long
    assert done.stdout == ""
    done = said_by(tmp_path / "guarded.py", WORK + 'if __name__ == "__main__":\n    work()\n')
    assert (done.stdout, done.stderr) == ("1 2\n", "")


def test_a_process_ended_from_outside_is_told_in_a_sentence() -> None:
    with pytest.raises(ProcessEnded, match="short of memory"):
        ended()


def ended() -> None:
    with computing_pool(1) as pool:
        pool.submit(abs, -1).result()
        pool.submit(exec, "import os; os._exit(9)").result()
