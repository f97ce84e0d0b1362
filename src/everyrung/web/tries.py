"""Wrong tries of a code or a passphrase by address: in this studio's memory, or in the database shared with others."""

import time
from collections import OrderedDict
from collections.abc import Callable
from typing import Protocol

from everyrung.store.wrong_tries import WrongTries


class Tries(Protocol):
    """When which address was wrong, in seconds of the clock `now_s`."""

    def now_s(self) -> float:
        """The time."""

    def times_s(self, address: str, since_s: float) -> list[float]:
        """Its tries since then, oldest first; those before are forgotten."""

    def add(self, address: str, at_s: float) -> None:
        """One more."""

    def remove(self, address: str, at_s: float) -> None:
        """That one was none."""

    def forget(self, address: str) -> None:
        """All of an address."""


class OwnTries:
    """As Tries, for a studio alone; of the `most` addresses that were wrong last."""

    def __init__(self, most: int, now_s: Callable[[], float] = time.monotonic) -> None:
        self._most, self._now_s = most, now_s
        self._at: OrderedDict[str, list[float]] = OrderedDict()

    def count(self) -> int:
        """The addresses that are remembered."""
        return len(self._at)

    def now_s(self) -> float:
        """As Tries."""
        return self._now_s()

    def times_s(self, address: str, since_s: float) -> list[float]:
        """As Tries."""
        left = [at_s for at_s in self._at.get(address, ()) if at_s >= since_s]
        if address in self._at:
            self._at[address] = left
        return list(left)

    def add(self, address: str, at_s: float) -> None:
        """As Tries."""
        self._at.setdefault(address, []).append(at_s)
        self._at.move_to_end(address)
        while len(self._at) > self._most:
            self._at.popitem(last=False)

    def remove(self, address: str, at_s: float) -> None:
        """As Tries."""
        if at_s in self._at.get(address, ()):
            self._at[address].remove(at_s)

    def forget(self, address: str) -> None:
        """As Tries."""
        self._at.pop(address, None)


class SharedTries:
    """As Tries, of all studios on one database; `kind` is what was tried."""

    def __init__(self, store: WrongTries, kind: str) -> None:
        self._store, self._kind = store, kind

    def now_s(self) -> float:
        """The clock on the wall, which all of them have."""
        return time.time()

    def times_s(self, address: str, since_s: float) -> list[float]:
        """As Tries."""
        return [at_ms / 1000 for at_ms in self._store.times_ms(self._kind, address, _ms(since_s))]

    def add(self, address: str, at_s: float) -> None:
        """As Tries."""
        self._store.add(self._kind, address, _ms(at_s))

    def remove(self, address: str, at_s: float) -> None:
        """As Tries."""
        self._store.remove(self._kind, address, _ms(at_s))

    def forget(self, address: str) -> None:
        """As Tries."""
        self._store.forget(self._kind, address)


def _ms(at_s: float) -> int:
    return round(at_s * 1000)
