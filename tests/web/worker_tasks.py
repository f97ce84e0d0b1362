"""Tasks that the tests give to processes: a process imports them by their name."""

import itertools
import os
import threading
import time
from collections.abc import Callable
from typing import Any

from everyrung.processes import process_pool

Tell = Callable[[Any], None]


class Odd(Exception):
    """Pickled it can be, but not read again."""

    def __init__(self, name: str, reason: str) -> None:
        super().__init__(f"{name}: {reason}")


def odd() -> None:
    raise Odd("Sunniva", "her answers")


def no_answer() -> Any:
    return threading.Lock()


def steps(tell: Tell) -> None:
    for done in itertools.count():
        tell(done)


def busy(tell: Tell) -> None:
    """Never done, but looks each moment whether anybody still waits."""
    while True:
        tell(os.getpid())
        time.sleep(0.005)


def deaf(tell: Tell) -> None:
    """Never done, and never looks, nor does the process that it began; tells the numbers of both."""
    pool = process_pool(1)
    tell((os.getpid(), pool.submit(os.getpid).result()))
    pool.submit(time.sleep, 1000)
    while True:
        pass
