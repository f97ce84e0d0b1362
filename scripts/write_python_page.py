"""Runs the examples of docs/python.md and writes what they print into it.

    python scripts/write_python_page.py

Look through the difference before committing.
"""

import os
import sys
import tempfile
from pathlib import Path

TREE = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(TREE / "src"), str(TREE / "tests" / "whole")]

from python_page import PAGE, printed, with_output  # noqa: E402

if __name__ == "__main__":
    page = PAGE.read_text(encoding="utf-8")
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "examples").symlink_to(TREE / "examples")
        os.chdir(folder)
        outputs = printed(page)
        os.chdir(TREE)
    PAGE.write_text(with_output(page, outputs), encoding="utf-8")
