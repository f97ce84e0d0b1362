"""Wall time by part of the work."""

from collections.abc import Iterator
from contextlib import contextmanager
from time import perf_counter


class Spent:
    """Adds up how long each named part takes, s; a part within another is taken off the outer one."""

    def __init__(self) -> None:
        self.by_part: dict[str, float] = {}
        self._within = [0.0]

    @contextmanager
    def on(self, part: str) -> Iterator[None]:
        begun = perf_counter()
        self._within.append(0.0)
        try:
            yield
        finally:
            took = perf_counter() - begun
            self.by_part[part] = self.by_part.get(part, 0.0) + took - self._within.pop()
            self._within[-1] += took
