"""The passphrase of a studio on a local network: hashed by Argon2, asked for once a browser, slow to guess."""

import asyncio
import time
from collections import deque

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

from everyrung.terms.fault import require

LEAST = 12  # signs; chosen, between the 8 and the 15 of NIST SP 800-63B (from memory)
MOST_TRIES, IN_S = 10, 60.0  # chosen, because nobody mistypes ten times a minute
_hasher = PasswordHasher()


def hashed(passphrase: str) -> str:
    """Argon2's hash of a passphrase. Raises Invalid for a short one."""
    require(len(passphrase) >= LEAST, "passphrase", f"{LEAST} signs or more", f"{len(passphrase)} signs")
    return _hasher.hash(passphrase)


def right(passphrase: str, known: str) -> bool:
    """Whether it is the one."""
    try:
        return _hasher.verify(known, passphrase)
    except (VerificationError, InvalidHashError):
        return False


class Tries:
    """How often the passphrase was tried lately, by anyone."""

    def __init__(self) -> None:
        self._at: deque[float] = deque()
        self._one = asyncio.Lock()

    async def check(self, passphrase: str, known: str) -> bool | None:
        """Whether it is right; None when there were too many tries in the last minute."""
        async with self._one:
            now = time.monotonic()
            while self._at and self._at[0] < now - IN_S:
                self._at.popleft()
            if len(self._at) >= MOST_TRIES:
                return None
            found = await asyncio.to_thread(right, passphrase, known)
            if not found:
                self._at.append(now)
            return found
