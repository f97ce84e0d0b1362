"""Tasks that the tests give to a cluster: its workers import them by their name."""

import os
import time
from pathlib import Path

from everyrung.executors.tasks import map_tasks
from everyrung.terms.errors import Invalid


def square(value: int) -> int:
    return value * value


def slow_square(value: int) -> int:
    time.sleep(0.05)
    return value * value


def who(_: int) -> int:
    time.sleep(0.05)
    return os.getpid()


def note(folder: Path, value: int) -> int:
    (folder / str(value)).touch()
    time.sleep(0.05)
    return value


def refuse(value: int) -> int:
    if value == 3:
        raise Invalid("dose", "8 reps", value, nearest="8", remedy="Write 8.")
    return value


def squares(value: int) -> list[int]:
    return list(map_tasks(square, range(value), chunk=1, worth_processes=1))


def end(_: int) -> None:
    os._exit(9)
