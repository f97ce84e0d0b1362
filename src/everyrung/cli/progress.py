"""What of the body a command asks for, and how far it has come, on the error stream."""

import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from everyrung.pipeline import Asked

STEPS = 20  # chosen, because a line that changes twenty times is seen to move


def asked(*, bodies: bool = False, drawings: bool = False) -> "Asked":
    """The usual cache, and progress told on a terminal."""
    from everyrung.pipeline import Asked
    from everyrung.store.cache import default_cache

    cache = default_cache() if bodies or drawings else None
    return Asked(bodies=bodies, drawings=drawings, cache=cache, progress=told if sys.stderr.isatty() else None)


def told(done: int, total: int) -> None:
    """One line that is written over; ended when all is done."""
    if done == total or done % max(1, total // STEPS) == 0:
        print(f"\rcomputing rungs on bodies: {done} of {total}", end="\n" if done == total else "", file=sys.stderr)
