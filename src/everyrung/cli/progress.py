"""What of the body a command asks for, and how far it has come, on the error stream."""

import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from everyrung.pipeline import Asked, Expected

STEPS = 20  # chosen, because a line that changes twenty times is seen to move


def asked(
    *,
    bodies: bool = False,
    drawings: bool = False,
    cues: bool = False,
    voice: bool = False,
    expected: "Expected | None" = None,
) -> "Asked":
    """The usual cache, and progress told on a terminal."""
    from everyrung.pipeline import Asked
    from everyrung.store.cache import default_cache

    cache = default_cache() if bodies or drawings or expected else None
    shown = sys.stderr.isatty()
    return Asked(
        bodies=bodies,
        drawings=drawings,
        cues=cues,
        voice=voice,
        expected=expected,
        cache=cache,
        progress=told if shown else None,
        people=walked if shown else None,
    )


def told(done: int, total: int) -> None:
    """How many rungs have been computed."""
    _line("computing rungs on bodies", done, total)


def walked(done: int, total: int) -> None:
    """How many people have been through the session."""
    _line("rehearsing with people", done, total)


def _line(words: str, done: int, total: int) -> None:
    """One line that is written over; ended when all is done."""
    if done == total or done % max(1, total // STEPS) == 0:
        print(f"\r{words}: {done:,} of {total:,}", end="\n" if done == total else "", file=sys.stderr)
