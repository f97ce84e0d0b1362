"""How one studio is served, and the secrets it keeps beside its data."""

import secrets
from dataclasses import dataclass, field
from pathlib import Path

from everyrung.store.files import FOR_THE_COACH_ALONE, replace_bytes
from everyrung.store.paths import home
from everyrung.terms.errors import Fault, Faults, Invalid, Where

OWN = ("127.0.0.1", "localhost", "::1")  # this machine's own names
MAX_UPLOAD_BYTES = 2_000_000  # chosen, because 20,000 cells, the most that is read, are 1.6 MB with three fields each
MAX_HOURS_BYTES = 10_000_000  # of a transcript or a heart rate; chosen, because two hours of TCX with a place each
# second are some 4 MB, and two hours of words as JSON some 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """Where the studio listens. On other addresses than this machine's own it asks for a passphrase.

    `passphrase_hash` is Argon2's; `cookie_key` signs the cookies.
    """

    host: str = "127.0.0.1"
    port: int = 8040
    passphrase_hash: str = ""
    cookie_key: str = field(default_factory=lambda: secrets.token_urlsafe(32), repr=False)
    folder: Path = field(default_factory=home)

    def __post_init__(self) -> None:
        if self.host not in OWN and not self.passphrase_hash:
            remedy = "Run `everyrung studio --set-passphrase` once."
            raise Invalid("host", "a passphrase before others may reach the studio", self.host, remedy=remedy)

    @property
    def needs_passphrase(self) -> bool:
        """Whether people have to say the passphrase."""
        return bool(self.passphrase_hash) and self.host not in OWN

    @property
    def address(self) -> str:
        """What is typed into a browser on this machine."""
        host = "localhost" if self.host in (*OWN, "0.0.0.0", "::") else self.host
        return f"http://{host}:{self.port}/"


def kept_cookie_key(folder: Path) -> str:
    """The key that signs cookies: made once, so that a restart logs nobody out. Raises Faults for a spoilt one."""
    path = folder / "cookies.key"
    if key := _read_own(
        path, "the key that signs cookies", "Delete this file; a new key is made, and everyone has to log in again."
    ):
        return key
    new_key = secrets.token_urlsafe(32)
    replace_bytes(path, new_key.encode(), mode=FOR_THE_COACH_ALONE)
    return new_key


def passphrase_file(folder: Path) -> Path:
    """Where the passphrase's hash is kept."""
    return folder / "passphrase"


def kept_passphrase(folder: Path) -> str:
    """The passphrase's hash; '' when none was ever set. Raises Faults for a spoilt one."""
    path, remedy = passphrase_file(folder), "Set it again: `everyrung studio --set-passphrase`."
    hash_ = _read_own(path, "the hash of the passphrase", remedy)
    if hash_ and not hash_.startswith("$argon2"):
        raise _spoilt(path, "the hash of the passphrase", remedy)
    return hash_


def _read_own(path: Path, what: str, remedy: str) -> str:
    """What a file of ours says; '' without one."""
    try:
        return path.read_text(encoding="ascii").strip()
    except FileNotFoundError:
        return ""
    except UnicodeDecodeError:
        raise _spoilt(path, what, remedy) from None


def _spoilt(path: Path, what: str, remedy: str) -> Faults:
    where = Where(file=str(path), line=0, field="file")
    return Faults([Fault(where=where, expected=what, got="something else", remedy=remedy)])
