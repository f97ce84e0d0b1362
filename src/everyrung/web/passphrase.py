"""The passphrase of a studio on a local network: hashed by Argon2, asked for once a browser, slow to guess."""

import asyncio
import secrets
import time
from collections import OrderedDict, deque
from ipaddress import IPv4Address, IPv6Address, ip_address
from pathlib import Path

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

from everyrung.store.files import FOR_THE_COACH_ALONE, replace_bytes
from everyrung.terms.errors import require

LEAST = 12  # signs; chosen, between the 8 and the 15 of NIST SP 800-63B (from memory)
MOST_TRIES, IN_S = 10, 60.0  # of one address; chosen, because nobody mistypes ten times a minute
SLOWER_S = 0.1  # more for each wrong one; chosen, because a person does not notice it and a guesser has ten a minute
MOST_ADDRESSES = 10_000  # remembered; chosen, because no network of a club has more
_hasher = PasswordHasher()


def hash_passphrase(passphrase: str) -> str:
    """Argon2's hash of a passphrase. Raises Invalid for a short one."""
    require(len(passphrase) >= LEAST, "passphrase", f"{LEAST} signs or more", f"{len(passphrase)} signs")
    return _hasher.hash(passphrase)


def is_right(passphrase: str, known: str) -> bool:
    """Whether it is the one."""
    try:
        return _hasher.verify(known, passphrase)
    except (VerificationError, InvalidHashError):
        return False


class LoginLimiter:
    """How often the passphrase was tried wrongly of late, by address: nobody's guesses keep another one out."""

    def __init__(self) -> None:
        self._at: OrderedDict[str, deque[float]] = OrderedDict()

    async def check(self, address: str, passphrase: str, known: str) -> bool | None:
        """Whether it is right; None when this address tried too often in the last minute."""
        lately = self._lately(network(address))
        if len(lately) >= MOST_TRIES:
            return None
        at = time.monotonic()
        lately.append(at)  # before it is known, so that many at once are counted too
        if await asyncio.to_thread(is_right, passphrase, known):
            lately.remove(at)
            return True
        await asyncio.sleep(SLOWER_S * len(lately))
        return False

    def _lately(self, address: str) -> deque[float]:
        lately = self._at.setdefault(address, deque())
        self._at.move_to_end(address)
        while lately and lately[0] < time.monotonic() - IN_S:
            lately.popleft()
        while len(self._at) > MOST_ADDRESSES:
            self._at.popitem(last=False)
        return lately


def network(address: str) -> str:
    """Whom a try is counted for: an IPv4 address; of IPv6 the first 64 bits, for one machine has all the others."""
    try:
        found = ip_address(address.partition("%")[0])
    except ValueError:
        return address
    if isinstance(found, IPv4Address):
        return str(found)
    return str(found.ipv4_mapped or IPv6Address(int(found) >> 64 << 64))


class Logins:
    """Which logins hold: those that carry the word in this file. Another word there ends every one of them."""

    def __init__(self, folder: Path) -> None:
        self._path = folder / "logins"

    def word(self) -> str:
        """The word that a login made now carries."""
        try:
            known = self._path.read_bytes().decode("ascii", "replace").strip()
        except FileNotFoundError:
            known = ""
        return known or self.end_all()

    def end_all(self) -> str:
        """The word that holds from now on."""
        word = secrets.token_urlsafe(16)
        replace_bytes(self._path, word.encode(), mode=FOR_THE_COACH_ALONE)
        return word
