"""Processes that compute beside this one: spawned on every system alike, never left over when this one ends."""

import os
import signal
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from multiprocessing import current_process, get_context, parent_process
from multiprocessing.connection import wait
from typing import Any

from everyrung.terms.errors import ProcessEnded

SPAWN = get_context("spawn")  # the one way that Windows, macOS and Linux have in common
MOST = 61  # Windows waits for no more at a time (concurrent.futures)
NO_GUARD = (
    "A script that lets Everyrung compute with several processes is read anew by each of them. "
    'Put its work under `if __name__ == "__main__":` (docs/python.md, "In a script").'
)
ENDED = "A process that computed was ended from outside; the machine may be short of memory. Nothing saved is lost."


def process_pool(count: int, start: Callable[..., None] | None = None, *arguments: Any) -> ProcessPoolExecutor:
    """`count` processes, each begun with `start(*arguments)`; they end with this one, however it ends.

    Ctrl+C is this process's to answer, not theirs.
    """
    return ProcessPoolExecutor(min(count, MOST), mp_context=SPAWN, initializer=_start, initargs=(start, arguments))


@contextmanager
def computing_pool(count: int) -> Iterator[ProcessPoolExecutor]:
    """A pool for the time of the block; leave it, and what is still to do is dropped.

    Raises ProcessEnded when a process was ended from outside, or the user's own script has no guard.
    """
    pool = process_pool(count)
    trial = None
    try:
        trial = pool.submit(_nothing)
        yield pool
    except BrokenProcessPool:
        began = trial is not None and trial.done() and not trial.exception()
        raise ProcessEnded(ENDED if began else NO_GUARD) from None
    except RuntimeError:
        if trial is None and current_process().name != "MainProcess":  # the script is read anew, and got here again
            raise SystemExit(NO_GUARD) from None
        raise
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


def _start(start: Callable[..., None] | None, arguments: tuple[Any, ...]) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_parent, daemon=True).start()
    if start:
        start(*arguments)


def _end_with_parent() -> None:
    parent = parent_process()
    if parent:
        wait([parent.sentinel])
        os._exit(1)


def _nothing() -> None:
    """The first task: when it is done, processes can be started here."""
