"""How long planning a block of weeks takes: 8 weeks of 2 evenings, in a new home where nothing has been computed yet.

    python benchmarks/block.py [WEEKS [BRIEF]]

Times are of the processor and by the clock, in seconds; a busy machine needs more by the clock.
"""

import os
import sys
import tempfile
import time
from datetime import date
from datetime import time as clock
from pathlib import Path

TREE = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(TREE / "src"))

from everyrung.blocks.search import propose_block  # noqa: E402
from everyrung.proposals.brief_text import read_brief  # noqa: E402
from everyrung.store.cache import default_cache  # noqa: E402
from everyrung.terms.block_brief import BlockBrief, Weekday, WeeklyEvening  # noqa: E402

BRIEF = "45 min whole body, dumbbells 4 to 12 kg, 8 chairs"


def main(weeks: int, say: str) -> None:
    """Plans one block and prints what it took, stage by stage."""
    session = read_brief(say).brief
    weekly = tuple(
        WeeklyEvening(day=day, starts=clock(18, 30), session=session) for day in (Weekday.MONDAY, Weekday.THURSDAY)
    )
    brief = BlockBrief(title="Block", first=date(2027, 1, 11), weeks=weeks, weekly=weekly)
    spent_s, begin_s = time.process_time(), time.perf_counter()

    def tell(words: str) -> None:
        print(
            f"{time.process_time() - spent_s:6.1f} s of the processor, {time.perf_counter() - begin_s:6.1f} s: {words}"
        )

    with tempfile.TemporaryDirectory() as home:
        os.environ["EVERYRUNG_HOME"] = home
        block = propose_block(brief, cache=default_cache(), on_step=tell)
        tell("done")
    growth = ", ".join(f"{factor - 1:.1%}" for factor in block.steps.growth.values())
    print(f"{len(block.evenings)} evenings; a week more: {growth}; gives up: {'; '.join(block.gives_up) or 'nothing'}")
    for name, part in (("moves", block.skeleton), ("steps", block.steps)):
        print(f"{name}: worth {part.worth:.2f} of at most {part.bound:.2f}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 8, sys.argv[2] if len(sys.argv) > 2 else BRIEF)
