"""A code that is guessed at: each wrong one lets its address wait longer, and no other."""

import hmac

from everyrung.web.tries import OwnTries, Tries

FIRST_S, LONGEST_S = 1.0, 60.0  # chosen, because a hand that slips twice hardly notices; a million codes take years
FORGOTTEN_S = 3600.0  # chosen, because the class in which somebody mistyped is over
MOST_ADDRESSES = 1000  # chosen, because a room has fewer, and each is some hundred bytes


class WrongCodes:
    """How often each address was wrong. The code itself never changes by it, so whoever has it stays welcome."""

    def __init__(self, tries: Tries | None = None) -> None:
        self._tries: Tries = tries or OwnTries(MOST_ADDRESSES)

    def wait_s(self, address: str) -> float:
        """How long this address has to wait before a code of its own is looked at; 0 when it has not to."""
        now_s = self._tries.now_s()
        times_s = self._tries.times_s(address, now_s - FORGOTTEN_S)
        if not times_s:
            return 0.0
        return max(0.0, times_s[-1] + min(FIRST_S * 2.0 ** min(len(times_s) - 1, 30), LONGEST_S) - now_s)

    def right(self, address: str, guess: str, code: str) -> bool:
        """Whether the code is the right one; only asked when `wait_s` is 0."""
        if hmac.compare_digest(guess.encode(), code.encode()):
            self._tries.forget(address)
            return True
        self._tries.add(address, self._tries.now_s())
        return False
