"""What of the body a command asks for, and how far it has come, on the error stream."""

import sys
import time
from typing import TYPE_CHECKING

from everyrung.terms.pace import Pace, left_words

if TYPE_CHECKING:
    from everyrung.pipeline import AudienceSpec, Options
    from everyrung.store.cache import Cache
    from everyrung.terms.room import Room

STEPS = 20  # chosen, because a line that changes twenty times is seen to move
QUIET_S = 15.0  # between two lines in a file of what was printed; chosen, because a minute then has four of them


def options(
    *,
    bodies: bool = False,
    drawings: bool = False,
    cues: bool = False,
    voice: bool = False,
    audience: "AudienceSpec | None" = None,
    room: "Room | None" = None,
    room_people: int | None = None,
    always: bool = False,
) -> "Options":
    """The usual cache, and progress shown on a terminal; `always`: elsewhere too, in lines now and then."""
    from everyrung.pipeline import Options

    visible = always or sys.stderr.isatty()
    return Options(
        bodies=bodies,
        drawings=drawings,
        cues=cues,
        voice=voice,
        audience=audience,
        room=room,
        room_people=room_people,
        cache=_cache() if bodies or drawings or audience or room else None,
        on_bodies=ProgressLine("computing rungs on bodies") if visible else None,
        on_people=ProgressLine("rehearsing with people") if visible else None,
        on_words=ProgressLine("speaking the cues") if visible else None,
    )


def _cache() -> "Cache":
    from everyrung.store.cache import default_cache  # slow to import: only when there is something to keep

    return default_cache()


class ProgressLine:
    """How far one work has come and how long it still takes: on a terminal one line that is written over, elsewhere a
    line now and then.
    """

    def __init__(self, words: str) -> None:
        self._words, self._pace, self._at_s, self._open = words, Pace(), -QUIET_S, False

    def __call__(self, count: int, total: int) -> None:
        """How many steps are done, of how many."""
        left = left_words(self._pace.left_s(count, total))
        line = f"{self._words}: {count:,} of {total:,}{f', {left}' if left and count < total else ''}"
        if sys.stderr.isatty():
            if count == total or count % max(1, total // STEPS) == 0 or left:
                print(f"\r{line:<78}", end="\n" if count == total else "", file=sys.stderr, flush=True)
                self._open = count != total
        elif time.monotonic() - self._at_s >= QUIET_S:
            self._at_s = time.monotonic()
            print(line, file=sys.stderr, flush=True)

    def end(self) -> None:
        """The next thing that is said has a line of its own."""
        if self._open:
            print(file=sys.stderr)
            self._open = False
