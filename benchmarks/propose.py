"""How long proposing takes: each brief of a file proposed for, in a new home where nothing has been computed yet.

    python benchmarks/propose.py BRIEFS.toml [PROPOSALS]

The file has a table [[brief]] a brief, with what a coach would say under `say`. Times are of the processor, in seconds,
those of processes that were started for it among them; machine code that was made before is used.
"""

import os
import sys
import tempfile
import time
import tomllib
from pathlib import Path

TREE = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(TREE / "src"))

from everyrung.proposals.search import propose  # noqa: E402
from everyrung.store.cache import default_cache  # noqa: E402
from everyrung.terms.enums import Severity  # noqa: E402

PROVEN = 0.02  # of the bound; chosen, because worth is known no better


def spent_s() -> float:
    """Of this process and those it waited for."""
    times = os.times()
    return times.user + times.system + times.children_user + times.children_system


def timed(say: str, count: int) -> dict[str, float]:
    """One brief: when its first and last proposals were there, and one within PROVEN of what can be had."""
    with tempfile.TemporaryDirectory() as home:
        os.environ["EVERYRUNG_HOME"] = home
        begin, row = spent_s(), {"clean": 0.0, "fit": 1.0}
        for number, each in enumerate(propose(say, count=count, cache=default_cache()), 1):
            now = spent_s() - begin
            row |= {"count": number, "last": now}
            row.setdefault("first", now)
            if each.gap <= PROVEN:
                row.setdefault("proven", now)
            row["clean"] += all(finding.severity is Severity.NOTE for finding in each.run.findings)
            row["fit"] = min(row["fit"], each.run.timeline.total_ms / each.run.plan.slot_ms)
            row[f"gap {number}"] = each.gap
        row["end"] = spent_s() - begin
    return row


def main() -> None:
    """Prints a line a brief, and what all of them come to."""
    briefs = [each["say"] for each in tomllib.loads(Path(sys.argv[1]).read_text(encoding="utf-8"))["brief"]]
    count = int(sys.argv[2]) if len(sys.argv) > 2 else 3
    rows = []
    for say in briefs:
        rows.append(timed(say, count))
        print(f"{say[:50]:50} { ({name: round(value, 3) for name, value in rows[-1].items()}) }", flush=True)
    print(f"{time.strftime('%d %B %Y')}, {os.cpu_count()} cores")
    for name in ("first", "proven", "last", "end"):
        times = sorted(row[name] for row in rows if name in row)
        print(f"{name}: {len(times)} of {len(rows)}; median {times[len(times) // 2]:.1f} s, worst {times[-1]:.1f} s")
    made, clean = (sum(row.get(name, 0) for row in rows) for name in ("count", "clean"))
    print(f"{clean:.0f} of {made:.0f} clean; the shortest fills {min(row['fit'] for row in rows):.1%} of its slot")


if __name__ == "__main__":
    main()
