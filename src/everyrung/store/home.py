"""The one folder for everything that is kept: EVERYRUNG_HOME, or the platform's data folder."""

import os
from pathlib import Path

from platformdirs import user_data_path


def home() -> Path:
    """The folder; not created here."""
    own = os.environ.get("EVERYRUNG_HOME")
    return Path(own).expanduser() if own else user_data_path("everyrung", appauthor=False)
