"""Writing a file so that a reader sees either the old one or the whole new one."""

import os
import tempfile
from pathlib import Path


def write_whole(path: Path, content: bytes) -> Path:
    """Writes beside `path`, then puts the file in its place in one step. Raises OSError when it cannot."""
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
        os.chmod(name, 0o644)  # mkstemp makes it private; a run sheet is for handing on
        os.replace(name, path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    return path
