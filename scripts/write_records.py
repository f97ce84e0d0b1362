"""Writes the records of the whole chain anew (tests/whole/records/) and prints what they say differently.

    python scripts/write_records.py                 (all of them)
    python scripts/write_records.py many-sided      (those)

Look through what is printed before committing: every line is a change that someone will meet. docs/accuracy-tests.md
says what records are for.
"""

import sys
from pathlib import Path

TREE = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(TREE / "src"), *(str(TREE / "tests" / each) for each in ("whole", "checks"))]

from record_lines import differing  # noqa: E402
from recorded import RECORDS  # noqa: E402
from recorded_plans import RECORDED  # noqa: E402


def main(names: list[str]) -> None:
    for name in names or list(RECORDED):
        for part, found in RECORDED[name]():
            lines = list(found)
            path = RECORDS / f"{part}.txt"
            before = path.read_text(encoding="utf-8").splitlines() if path.exists() else []
            changed = differing(before, lines)
            if changed:
                path.parent.mkdir(exist_ok=True)
                path.write_text("".join(f"{line}\n" for line in lines), encoding="utf-8")
                print(f"{part}.txt", *(changed if before else [f"{len(lines)} lines, new"]), sep="\n  ", flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
