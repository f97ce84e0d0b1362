"""Writes the tables of docs/architecture.md and its picture anew from the code.

    python scripts/write_architecture.py

Look through the difference before committing.
"""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests" / "shape"))

from architecture import PAGE, PICTURE, page, picture

if __name__ == "__main__":
    PAGE.write_text(page(PAGE.read_text(encoding="utf-8")), encoding="utf-8")
    PICTURE.write_text(picture(), encoding="utf-8")
