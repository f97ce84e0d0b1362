"""The one folder for everything that is kept: EVERYRUNG_HOME, or the platform's data folder."""

import os
from pathlib import Path

from platformdirs import user_data_path

from everyrung.terms.fault import Fault, Faults, Where


def home() -> Path:
    """The folder; not created here. Raises Faults when EVERYRUNG_HOME names an unknown user."""
    own = os.environ.get("EVERYRUNG_HOME")
    try:
        return Path(own).expanduser() if own else user_data_path("everyrung", appauthor=False)
    except RuntimeError as unknown:
        where = Where(file="environment", line=0, field="EVERYRUNG_HOME")
        fault = Fault(where=where, expected="a folder", got=str(own), remedy=f"Write its whole path. ({unknown})")
        raise Faults([fault]) from None
