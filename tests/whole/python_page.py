"""docs/python.md as a program: its blocks of Python run in order, and what each prints."""

import contextlib
import io
import re
from pathlib import Path

ROOT = Path(__file__).parents[2]
PAGE = ROOT / "docs" / "python.md"
BLOCK = re.compile(r"^```python\n(.*?)^```\n(?:\n```text\n(.*?)^```\n)?", re.MULTILINE | re.DOTALL)
LEFT_OUT = "…"  # a line for lines that are not shown


def blocks(page: str) -> list[tuple[str, str]]:
    """Each block of Python with what the page says that it prints."""
    return [(match[1], match[2] or "") for match in BLOCK.finditer(page)]


def printed(page: str) -> list[str]:
    """What each block prints; they share their names, as in one notebook. Run in a folder with the examples in it."""
    names: dict[str, object] = {"__name__": "__main__"}
    found = []
    for code, _ in blocks(page):
        out = io.StringIO()
        with contextlib.redirect_stdout(out):
            exec(compile(code, "docs/python.md", "exec"), names)
        found.append("".join(f"{line.rstrip()}\n" for line in out.getvalue().splitlines()))
    return found


def with_output(page: str, outputs: list[str]) -> str:
    """The page with these outputs in place of its own; one with a line left out stays."""
    left = iter(outputs)

    def again(match: re.Match[str]) -> str:
        text = next(left)
        shown = match[2] or ""
        if LEFT_OUT in shown.splitlines() or not text:
            return match[0]
        return f"```python\n{match[1]}```\n\n```text\n{text}```\n"

    return BLOCK.sub(again, page)
