"""Folders that are made anew while somebody may still read the one before: each making is a numbered folder of its own.

A browser that takes a file holds it open, and Windows replaces and deletes nothing that is open. So nothing is written
over: what is made next stands beside it, and what is old goes as far as the system lets go of it.
"""

import shutil
from pathlib import Path


def next_edition(folder: Path) -> Path:
    """The folder to make something in: higher than all that are there. Not created here."""
    return folder / str(1 + max((int(each.name) for each in _editions(folder)), default=0))


def latest_edition(folder: Path, mark: str) -> Path | None:
    """The newest edition that holds the file `mark`; None while there is none."""
    return next((each for each in _editions(folder) if (each / mark).is_file()), None)


def drop_others(edition: Path) -> None:
    """What else is in its folder, of an older version too, goes; what is still open goes another time."""
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
