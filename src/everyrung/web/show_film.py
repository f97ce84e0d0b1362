"""What was made for the film of a show's recording: in the studio's own folder, in no backup, gone with the show."""

import json
import shutil
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from everyrung.store.files import latest_edition, replace_text

LIST = "files.json"


@dataclass(frozen=True, slots=True, kw_only=True)
class FilmFolder:
    """`files`: name, what it is, bytes. `notes`: what could not be made, and why."""

    folder: Path
    files: tuple[tuple[str, str, int], ...]
    notes: tuple[str, ...]


def film_folder(home: Path, show: str) -> Path:
    """Of a show, in the studio's folder `home`."""
    return home / "for-film" / show


def keep_list(folder: Path, files: Sequence[tuple[str, str]]) -> None:
    """Writes down that a folder is whole: names with what they are, and words without a name."""
    folder.mkdir(parents=True, exist_ok=True)
    replace_text(folder / LIST, json.dumps(files))


def latest_film(home: Path, show: str) -> FilmFolder | None:
    """The last that was made; None where there is none."""
    folder = latest_edition(film_folder(home, show), LIST)
    if folder is None:
        return None
    rows = json.loads((folder / LIST).read_text(encoding="utf-8"))
    there = [(name, what) for name, what in rows if name and (folder / name).is_file()]
    return FilmFolder(
        folder=folder,
        files=tuple((name, what, (folder / name).stat().st_size) for name, what in there),
        notes=tuple(what for name, what in rows if not name),
    )


def forget_film(home: Path, show: str) -> None:
    shutil.rmtree(film_folder(home, show), ignore_errors=True)
