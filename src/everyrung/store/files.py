"""Files that are replaced whole or not at all, and folders that are made anew beside the one that may be read."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

FOR_THE_COACH_ALONE = 0o600  # a file that only her own account on the computer opens


@contextmanager
def replacement(path: Path, *, mode: int | None = None) -> Iterator[Path]:
    """A file to write into that takes the place of `path` when all went well; a crash leaves the old one as it was.

    Keeps the old file's mode unless `mode` is given; until then nobody else can read what is written.
    """
    import tempfile  # slow to import, and most commands write nothing

    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    except OSError as error:
        raise OSError(error.errno, error.strerror, str(path)) from None
    os.close(handle)
    try:
        yield Path(name)
        usual = path.stat().st_mode if path.exists() else 0o644
        os.chmod(name, usual if mode is None else mode)
        os.replace(name, path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


def replace_bytes(path: Path, data: bytes, *, mode: int | None = None) -> None:
    """Puts `data` at `path`, whole or not at all, as `replacement` does."""
    with replacement(path, mode=mode) as part, part.open("wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


def replace_text(path: Path, text: str, *, crlf: bool = False, mode: int | None = None) -> None:
    """`replace_bytes` for UTF-8 text; `crlf` keeps the line ends of a file that came with them."""
    replace_bytes(path, (text.replace("\n", "\r\n") if crlf else text).encode(), mode=mode)


def next_edition(folder: Path) -> Path:
    """The folder to make something in: higher than all that are there. Not created here."""
    return folder / str(1 + max((int(each.name) for each in _editions(folder)), default=0))


def latest_edition(folder: Path, mark: str) -> Path | None:
    """The newest edition that holds the file `mark`; None while there is none."""
    return next((each for each in _editions(folder) if (each / mark).is_file()), None)


def drop_others(edition: Path) -> None:
    """What else is in its folder, of an older version too, goes; what is still open goes another time."""
    import shutil  # slow to import, and most commands drop nothing

    for each in edition.parent.iterdir():
        if each.is_dir() and each != edition:
            shutil.rmtree(each, ignore_errors=True)
        elif each != edition:
            _unlink(each)


def _editions(folder: Path) -> list[Path]:
    """The newest first."""
    there = [each for each in folder.iterdir() if each.name.isdecimal()] if folder.is_dir() else []
    return sorted(there, key=lambda each: int(each.name), reverse=True)


def _unlink(path: Path) -> None:
    try:
        path.unlink()
    except OSError:
        return  # open somewhere
