"""How long mending takes: spoilt drafts mended whole, and each change by one press offered once.

    python benchmarks/mend.py [DRAFTS]

Times are of the processor, in seconds.
"""

import sys
import time
from pathlib import Path

TREE = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(TREE / "src"), str(TREE / "tests" / "whole")]

from spoilt_drafts import GRAVE, LIBRARY, draft_number, run_of  # noqa: E402

from everyrung.compose.case import PlanRun  # noqa: E402
from everyrung.compose.changes import ChangeKind, ChangeRequest, change_offers  # noqa: E402
from everyrung.compose.mend_all import mend_all  # noqa: E402
from everyrung.pipeline import run_plan  # noqa: E402
from everyrung.results.analysis import Analysis  # noqa: E402
from everyrung.terms.plan import Plan  # noqa: E402


def again(plan: Plan) -> Analysis:
    return run_plan(plan, library=LIBRARY)


def mended(count: int) -> None:
    """Mends the first drafts."""
    times, clean, before, left = [], 0, 0, 0
    for number in range(count):
        text = draft_number(number)
        start = PlanRun(run=run_of(text), library=LIBRARY)
        begin = time.process_time()
        mending = mend_all(text, start, again)
        times.append(time.process_time() - begin)
        clean += not mending.left
        before += sum(each.severity in GRAVE for each in start.run.findings)
        left += len(mending.left)
    times.sort()
    worst = f"95 % {times[int(0.95 * count)]:.2f} s, worst {times[-1]:.2f} s"
    print(f"{count} drafts: {clean} clean, {left} of {before} findings left; median {times[count // 2]:.2f} s, {worst}")


def offered() -> None:
    """Offers each kind of change of the demo once."""
    text = (TREE / "examples" / "boathouse-30.toml").read_text(encoding="utf-8")
    start = PlanRun(run=run_of(text), library=LIBRARY)
    place = next(cell.ref for cell in start.session.cells if cell.ref.round == "Two")
    for kind in ChangeKind:
        begin = time.process_time()
        result = change_offers(text, start, ChangeRequest(kind=kind, ref=place, minutes=25), again)
        print(f"{kind}: {len(result.offers)} offered in {time.process_time() - begin:.2f} s")


if __name__ == "__main__":
    mended(int(sys.argv[1]) if len(sys.argv) > 1 else 100)
    offered()
