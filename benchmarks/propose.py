"""How long proposing takes: each brief of a file proposed for, in a new home where nothing has been computed yet, then
with another seed, where the columns are known; and, of a brief that nothing keeps, what is said of it.

    python benchmarks/propose.py [BRIEFS.toml] [PROPOSALS]

The file has a table [[brief]] a brief, with what a coach would say under `say` and, where nothing keeps it, the wish to
drop under `drop`. Times are of the processor, in seconds, those of processes that were started for it among them;
machine code that was made before is used.
"""

import os
import sys
import tempfile
import time
import tomllib
from pathlib import Path
from typing import Any

TREE = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(TREE / "src"))

from everyrung.moves.library import standard_library  # noqa: E402
from everyrung.proposals.brief_text import read_brief  # noqa: E402
from everyrung.proposals.nearest import nearest_brief  # noqa: E402
from everyrung.proposals.search import propose  # noqa: E402
from everyrung.store.cache import default_cache  # noqa: E402
from everyrung.terms.enums import Severity  # noqa: E402

BRIEFS = TREE / "benchmarks" / "briefs.toml"
PROVEN = 0.02  # of the bound; chosen, because worth is known no better


def spent_s() -> float:
    """Of this process and those it waited for."""
    times = os.times()
    return times.user + times.system + times.children_user + times.children_system


def timed(say: str, count: int) -> dict[str, Any]:
    """One brief: when its first and last proposals were there, and one within PROVEN of what can be had."""
    with tempfile.TemporaryDirectory() as home:
        os.environ["EVERYRUNG_HOME"] = home
        row: dict[str, Any] = {"count": 0, "clean": 0, "fit": 1.0}
        begin = spent_s()
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
        return row | (again(say, count) if row["count"] else dropped(say))


def again(say: str, count: int) -> dict[str, float]:
    """The same with another seed, where the columns are known."""
    begin, row = spent_s(), {}
    for _ in propose(say, count=count, seed=2, cache=default_cache()):
        row["last, known"] = spent_s() - begin
        row.setdefault("first, known", row["last, known"])
    return row


def dropped(say: str) -> dict[str, Any]:
    """Which wish is said to be the smallest to drop, and when."""
    begin, library = spent_s(), standard_library()
    nearest = nearest_brief(read_brief(say, library).brief, library, cache=default_cache())
    return {"drop": nearest[0] if nearest else "nothing", "said": spent_s() - begin}


def shown(value: Any) -> Any:
    return round(value, 3) if isinstance(value, float) else value


def main() -> None:
    """Prints a line a brief, and what all of them come to."""
    path = Path(sys.argv[1]) if len(sys.argv) > 1 else BRIEFS
    briefs = tomllib.loads(path.read_text(encoding="utf-8"))["brief"]
    count = int(sys.argv[2]) if len(sys.argv) > 2 else 3
    rows = []
    for brief in briefs:
        rows.append(timed(brief["say"], count))
        print(f"{brief['say'][:50]:50} { ({name: shown(value) for name, value in rows[-1].items()}) }", flush=True)
        if brief.get("drop") != rows[-1].get("drop"):
            print(f"  expected to drop: {brief.get('drop')}")
    print(f"{time.strftime('%d %B %Y')}, {os.cpu_count()} cores")
    for name in ("first", "proven", "last", "end", "first, known", "last, known", "said"):
        times = sorted(row[name] for row in rows if name in row)
        if times:
            middle = f"median {times[len(times) // 2]:.1f} s, worst {times[-1]:.1f} s"
            print(f"{name}: {len(times)} of {len(rows)}; {middle}")
    made, clean = (sum(row[name] for row in rows) for name in ("count", "clean"))
    print(f"{clean} of {made} clean; the shortest fills {min(row['fit'] for row in rows):.1%} of its slot")


if __name__ == "__main__":
    main()
