"""Lines for the window in which the studio runs: what broke and where, and never a word that anybody typed."""

import traceback
from pathlib import Path

import everyrung

_OURS = str(Path(everyrung.__file__).parent)


class TaskFailed(Exception):
    """A problem of a task in another process; the message is its `log_line` there."""


def log_line(problem: BaseException) -> str:
    """The kind of a problem and where in our code it arose.

    Not its message, which may quote a name or an answer; of the disk and of the database it is the system's own words.
    """
    remote = next((each for each in (problem, problem.__cause__) if isinstance(each, TaskFailed)), None)
    if remote:
        return str(remote)
    frames = traceback.extract_tb(problem.__traceback__)
    ours = [frame for frame in frames if frame.filename.startswith(_OURS)] or list(frames)
    at = f" at {Path(ours[-1].filename).name}:{ours[-1].lineno}" if ours else ""
    return f"{type(problem).__name__}{at}{_system_words(problem)}"


def _system_words(problem: BaseException) -> str:
    from sqlalchemy.exc import OperationalError

    if isinstance(problem, OperationalError):
        return f": {str(problem.orig).strip().splitlines()[0]}"
    strerror = getattr(problem, "strerror", None)
    return f": {strerror}" if isinstance(problem, OSError) and strerror else ""
