"""Whose turn it is in a session that several people change at once: saves first, one by one, then the answers."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager

MOST_WAIT_S = 1.0  # chosen, because who saved wants to see it, however many others go on saving


class Turns:
    """The turns of one session. People who save at once wait for each other instead of all trying again, and are all
    answered with what the last of them saved, which is timed, checked and drawn once.
    """

    def __init__(self) -> None:
        self._saves = 0  # under way or waiting
        self._quiet = threading.Condition()
        self._saving, self._answering = threading.Lock(), threading.Lock()

    @contextmanager
    def save(self) -> Iterator[None]:
        """Held by whoever changes the session."""
        with self._quiet:
            self._saves += 1
        try:
            with self._saving:
                yield
        finally:
            with self._quiet:
                self._saves -= 1
                self._quiet.notify_all()

    @contextmanager
    def answer(self) -> Iterator[None]:
        """Held by whoever shows the session after a change; begins when nobody saves any more, or soon."""
        with self._quiet:
            self._quiet.wait_for(lambda: self._saves == 0, MOST_WAIT_S)
        with self._answering:
            yield
