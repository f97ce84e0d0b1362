"""How long a hall for 300 people takes: every rung's sweep, the places, sight and waves, in processor time.

`python benchmarks/room.py [PLAN]`: the first figure solves what is not in the store yet, the second finds it there.
"""

import sys
import time
from pathlib import Path

from everyrung.moves.library import standard_library
from everyrung.plan.read import read_plan
from everyrung.plan.resolve import resolve
from everyrung.room.read import room_from_text
from everyrung.room.room_plan import room_plan
from everyrung.store.cache import default_cache
from everyrung.timing.timeline import build_timeline

PEOPLE = 300
LIMIT_S = 5.0  # of the processor, as the issue on the room asks
HALL = """
name = "Hall"
outline = [[0, 0], [45, 0], [45, 34], [0, 34]]
ceiling = 7
leader = [22.5, 33]
pillar = [{ at = [12, 12], thick = 0.5 }, { at = [33, 12], thick = 0.5 }, { at = [12, 24], thick = 0.5 }]
door = [{ from = [0, 1], to = [0, 4] }, { from = [45, 1], to = [45, 4] }]
wall = [{ from = [0, 5], to = [0, 33] }, { from = [45, 5], to = [45, 33] }]
"""


def main() -> None:
    """Prints both figures, and how many the hall holds."""
    default = Path(__file__).parents[1] / "examples" / "boathouse-30.toml"
    plan = Path(sys.argv[1]) if len(sys.argv) > 1 else default
    library, room = standard_library(), room_from_text(HALL, "hall.toml")
    session = resolve(read_plan(plan), library)
    timeline = build_timeline(session)
    for words in ("first", "again"):
        begin = time.process_time()
        whole = room_plan(session, timeline, room, library, people=PEOPLE, cache=default_cache())
        spent = time.process_time() - begin
        use = whole.use
        print(
            f"{words}: {spent:.2f} s of the processor; {len(use.layout.places)} of {PEOPLE} placed, holds {use.people}"
        )
    print(f"limit {LIMIT_S:g} s: {'kept' if spent <= LIMIT_S else 'not kept'}")


if __name__ == "__main__":
    main()
