"""Recordings of a folder on the studio's own machine, to choose one from: named and dated, never opened here."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from starlette.requests import Request

from everyrung.store.led_sources import SourceKind
from everyrung.web.security import is_at_the_machine
from everyrung.web.studio import Studio

SUFFIXES = (".mp4", ".mov", ".m4v", ".mkv", ".webm", ".avi", ".wav", ".mp3", ".m4a", ".aac", ".flac", ".ogg", ".opus")
MOST = 12  # of a folder that are named; chosen, as nobody reads more


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordingFile:
    """One that may be chosen; `changed_ms` is when it was written."""

    path: str
    name: str
    changed_ms: int
    size_mb: int


def recordings_of(folder: Path) -> tuple[RecordingFile, ...]:
    """The newest, newest first. Raises OSError where the folder can't be looked at."""
    files = [(each, each.stat()) for each in folder.iterdir() if each.suffix.casefold() in SUFFIXES and each.is_file()]
    files.sort(key=lambda pair: pair[1].st_mtime, reverse=True)
    return tuple(
        RecordingFile(
            path=str(path), name=path.name, changed_ms=round(1000 * stat.st_mtime),
            size_mb=max(1, round(stat.st_size / 1e6)),
        )
        for path, stat in files[:MOST]
    )  # fmt: skip


def recordings_near(request: Request, studio: Studio, folder: Path | None) -> dict[str, Any]:
    """For the screen: what is in the folder that was named, and where the last recording of any show lay."""
    recordings = recordings_of(folder) if folder else ()
    latest = ""
    if is_at_the_machine(request, studio.settings):
        paths = [source.content for _, source in studio.led_sources.of_kind(SourceKind.RECORDING) if source.content]
        latest = str(Path(paths[0].decode()).parent) if paths else ""
    return {"folder": folder, "recordings": recordings, "latest_folder": latest}
