"""Replacing a file whole or not at all."""

import os
import tempfile
from pathlib import Path

FOR_THE_COACH_ALONE = 0o600  # a file that only her own account on the computer opens


def replace_bytes(path: Path, data: bytes, *, mode: int | None = None) -> None:
    """Puts `data` at `path`; a crash on the way leaves the old file as it was.

    Keeps the old file's mode unless `mode` is given; until then nobody else can read what is written.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    except OSError as error:
        raise OSError(error.errno, error.strerror, str(path)) from None
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        usual = path.stat().st_mode if path.exists() else 0o644
        os.chmod(name, usual if mode is None else mode)
        os.replace(name, path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


def replace_text(path: Path, text: str, *, crlf: bool = False, mode: int | None = None) -> None:
    """`replace_bytes` for UTF-8 text; `crlf` keeps the line ends of a file that came with them."""
    replace_bytes(path, (text.replace("\n", "\r\n") if crlf else text).encode(), mode=mode)
