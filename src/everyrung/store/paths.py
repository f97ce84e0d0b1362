"""The one folder for everything that is kept: EVERYRUNG_HOME, or the platform's data folder."""

import os
import stat
from contextlib import suppress
from pathlib import Path

from everyrung.store.files import FOR_THE_COACH_ALONE
from everyrung.terms.errors import Fault, Faults, Where

FOLDER_FOR_THE_COACH_ALONE = 0o700
# What holds names, answers or keys; files of the system's own way of writing (-wal, .new) with them.
PERSONAL = (
    "studio.sqlite*", "owners.sqlite*", "*.key", "passphrase", "logins", "backups/*", "cards/**/*",
    "published/**/cards/**/*", "published/**/manifest.json", "published/**/.unfinished.json",
)  # fmt: skip


def home() -> Path:
    """The folder; not created here. Raises Faults when EVERYRUNG_HOME names an unknown user."""
    own = os.environ.get("EVERYRUNG_HOME")
    try:
        return Path(own).expanduser() if own else _usual_home()
    except RuntimeError as unknown:
        where = Where(file="environment", line=0, field="EVERYRUNG_HOME")
        fault = Fault(where=where, expected="a folder", got=str(own), remedy=f"Write its whole path. ({unknown})")
        raise Faults([fault]) from None


def _usual_home() -> Path:
    from platformdirs import user_data_path  # only where no folder is named

    return user_data_path("everyrung", appauthor=False)


def keep_private(folder: Path) -> None:
    """Makes the folder where it is not; for the coach's own account alone, as is what is personal in an older one.

    A folder that many share (its sticky bit is set, as of /tmp) or that belongs to somebody else keeps its rights.
    """
    folder.mkdir(parents=True, exist_ok=True, mode=FOLDER_FOR_THE_COACH_ALONE)
    with suppress(PermissionError):
        if not folder.stat().st_mode & stat.S_ISVTX:
            folder.chmod(FOLDER_FOR_THE_COACH_ALONE)
        for path in (path for pattern in PERSONAL for path in folder.glob(pattern)):
            if not path.is_symlink():
                path.chmod(FOLDER_FOR_THE_COACH_ALONE if path.is_dir() else FOR_THE_COACH_ALONE)
