"""A code that is guessed at: each wrong one lets its address wait longer, and no other."""

import hmac
import time
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass

FIRST_S, LONGEST_S = 1.0, 60.0  # chosen, because a hand that slips twice hardly notices; a million codes take years
FORGOTTEN_S = 3600.0  # chosen, because the class in which somebody mistyped is over
MOST_ADDRESSES = 1000  # chosen, because a room has fewer, and each is some hundred bytes


@dataclass(slots=True)
class _Wrong:
    count: int
    last_s: float

    @property
    def wait_s(self) -> float:
        return min(FIRST_S * 2.0 ** min(self.count - 1, 30), LONGEST_S)


class WrongCodes:
    """How often each address was wrong. The code itself never changes by it, so whoever has it stays welcome."""

    def __init__(self, now_s: Callable[[], float] = time.monotonic) -> None:
        self._now_s = now_s
        self._wrong: OrderedDict[str, _Wrong] = OrderedDict()

    def wait_s(self, address: str) -> float:
        """How long this address has to wait before a code of its own is looked at; 0 when it has not to."""
        found, now = self._wrong.get(address), self._now_s()
        if found and now - found.last_s > FORGOTTEN_S:
            del self._wrong[address]
        elif found:
            return max(0.0, found.last_s + found.wait_s - now)
        return 0.0

    def right(self, address: str, tried: str, code: str) -> bool:
        """Whether the code is the right one; only asked when `wait_s` is 0."""
        if hmac.compare_digest(tried.encode(), code.encode()):
            self._wrong.pop(address, None)
            return True
        before = self._wrong.pop(address, None)
        self._wrong[address] = _Wrong((before.count if before else 0) + 1, self._now_s())
        while len(self._wrong) > MOST_ADDRESSES:
            self._wrong.popitem(last=False)
        return False
