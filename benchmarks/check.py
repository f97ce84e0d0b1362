"""How long `check` and `import everyrung` take against a bare interpreter start, and a cell at 15, 150 and 1,500.

Run: .venv/bin/python benchmarks/check.py. Ratios within one run mean something; the seconds are this machine's.
"""

import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

from everyrung.checks.registry import check
from everyrung.moves.library import standard_library
from everyrung.plan.read import plan_from_text
from everyrung.plan.resolve import resolve
from everyrung.timing.timeline import build_timeline

DEMO = Path(__file__).parents[1] / "examples" / "boathouse-30.toml"
MOVES = ("squat", "split-squat", "hip-hinge", "bridge", "push-up")


def plan_text(cells: int) -> str:
    """A plan of five moves in as many rounds as make `cells` cells, each round a repetition more than the first."""
    columns = "".join(f'[[block.move]]\nmove = "{move}"\n' for move in MOVES)
    rounds = "".join(
        f'[[block.round]]\nname = "{number}"\ncell.squat = {{ dose = "{8 + number % 12} reps" }}\n'
        for number in range(cells // len(MOVES))
    )
    head = 'title = "Long"\nslot_minutes = 240\n[who]\nin_room = 5\n[[block]]\nkind = "main"\n'
    return head + columns + rounds


def whole_check(text: str) -> None:
    """What `everyrung check` does once it is loaded."""
    session = resolve(plan_from_text(text, "long.toml"), standard_library())
    check(session, build_timeline(session))


def median_s(work: Callable[[], object], times: int) -> float:
    """Median seconds of `times` runs after one that warms up."""
    work()
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return statistics.median(taken)


def main() -> None:
    """Prints the comparisons."""
    bare_s = median_s(lambda: subprocess.run([sys.executable, "-c", "pass"], check=True), 9)
    import_s = median_s(lambda: subprocess.run([sys.executable, "-c", "import everyrung"], check=True), 9)
    command = [sys.executable, "-m", "everyrung.cli", "check", str(DEMO)]
    check_s = median_s(lambda: subprocess.run(command, capture_output=True, check=False), 9)
    print(f"bare interpreter start {bare_s * 1000:7.1f} ms")
    print(f"import everyrung       {import_s * 1000:7.1f} ms   {(import_s - bare_s) * 1000:.1f} ms more (at most 50)")
    print(f"everyrung check demo   {check_s * 1000:7.1f} ms   {check_s / bare_s:.1f} x the bare start")
    base_us = 0.0
    for cells in (15, 150, 1500):
        text = plan_text(cells)
        each_us = median_s(lambda text=text: whole_check(text), 5) / cells * 1e6  # type: ignore[misc]
        base_us = base_us or each_us
        print(f"{cells:>5} cells            {each_us:7.1f} us a cell   {each_us / base_us:.2f} x of 15 cells")


if __name__ == "__main__":
    main()
