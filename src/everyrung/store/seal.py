"""Values that studios on one database leave there for each other: nobody without their key can read or write one."""

import pickle
from base64 import urlsafe_b64encode
from contextlib import suppress
from hashlib import sha256
from typing import Any

from cryptography.fernet import Fernet


class Seal:
    """Seals what can be pickled. Of the same secret, kept in the studios' folder, comes the same seal."""

    def __init__(self, secret: str) -> None:
        self._cipher = Fernet(urlsafe_b64encode(sha256(f"everyrung {secret}".encode()).digest()))

    def close(self, value: Any) -> bytes:
        """The value, sealed."""
        return self._cipher.encrypt(pickle.dumps(value))

    def open(self, ciphertext: bytes | None) -> Any:
        """What was sealed; None for nothing, for what somebody else sealed, and for what another version did."""
        if ciphertext is not None:
            with suppress(Exception):  # a false seal, a class that is no more: it is computed anew
                return pickle.loads(self._cipher.decrypt(ciphertext))
        return None
