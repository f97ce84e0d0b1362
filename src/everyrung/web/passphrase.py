"""The passphrase of a studio on a local network: hashed by Argon2, asked for once a browser, slow to guess."""

import asyncio
import secrets
from collections.abc import Callable
from ipaddress import IPv4Address, IPv6Address, ip_address
from pathlib import Path
from typing import Any, TypeVar

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

from everyrung.store.files import FOR_THE_COACH_ALONE, replace_bytes
from everyrung.terms.errors import require
from everyrung.web.tries import OwnTries, Tries

T = TypeVar("T")

LEAST = 12  # signs; chosen, between the 8 and the 15 of NIST SP 800-63B (from memory)
MOST_TRIES, IN_S = 10, 60.0  # of one address; chosen, because nobody mistypes ten times a minute
SLOWER_S = 0.1  # more for each wrong one; chosen, because a person does not notice it and a guesser has ten a minute
MOST_ADDRESSES = 10_000  # remembered; chosen, because no network of a club has more
_hasher = PasswordHasher()


def hash_passphrase(passphrase: str) -> str:
    """Argon2's hash of a passphrase. Raises Invalid for a short one."""
    require(len(passphrase) >= LEAST, "passphrase", f"{LEAST} characters or more", f"{len(passphrase)} characters")
    return _hasher.hash(passphrase)


def is_right(passphrase: str, hash_: str) -> bool:
    """Whether it is the one."""
    try:
        return _hasher.verify(hash_, passphrase)
    except (VerificationError, InvalidHashError):
        return False


class LoginLimiter:
    """How often the passphrase was tried wrongly of late, by address: nobody's guesses keep another one out."""

    def __init__(self, tries: Tries | None = None) -> None:
        self._tries: Tries = tries or OwnTries(MOST_ADDRESSES)

    async def check(self, address: str, passphrase: str, hash_: str) -> bool | None:
        """Whether it is right; None when this address tried too often in the last minute."""
        place, at_s = network(address), self._tries.now_s()
        lately = await self._do(self._tries.times_s, place, at_s - IN_S)
        if len(lately) >= MOST_TRIES:
            return None
        await self._do(self._tries.add, place, at_s)  # before it is known, so that many at once are counted too
        if await asyncio.to_thread(is_right, passphrase, hash_):
            await self._do(self._tries.remove, place, at_s)
            return True
        await asyncio.sleep(SLOWER_S * len(await self._do(self._tries.times_s, place, at_s - IN_S)))
        return False

    async def _do(self, work: Callable[..., T], *values: Any) -> T:
        """In memory at once, or the hundred at once would all be counted before one is added; else aside."""
        return work(*values) if isinstance(self._tries, OwnTries) else await asyncio.to_thread(work, *values)


def network(address: str) -> str:
    """Whom a try is counted for: an IPv4 address; of IPv6 the first 64 bits, for one machine has all the others."""
    try:
        host = ip_address(address.partition("%")[0])
    except ValueError:
        return address
    if isinstance(host, IPv4Address):
        return str(host)
    return str(host.ipv4_mapped or IPv6Address(int(host) >> 64 << 64))


class Logins:
    """Which logins hold: those that carry the word in this file. Another word there ends every one of them."""

    def __init__(self, folder: Path) -> None:
        self._path = folder / "logins"

    def word(self) -> str:
        """The word that a login made now carries."""
        try:
            word = self._path.read_bytes().decode("ascii", "replace").strip()
        except FileNotFoundError:
            word = ""
        return word or self.end_all()

    def end_all(self) -> str:
        """The word that holds from now on."""
        word = secrets.token_urlsafe(16)
        replace_bytes(self._path, word.encode(), mode=FOR_THE_COACH_ALONE)
        return word
