"""A chunk of work as bytes: what a worker does with it, and what the worker has to have for the same answers.

This module runs on the worker; all that passes is plain, so that a worker with another version can say so.
"""

import hashlib
import pickle
import platform
import threading
from collections.abc import Callable, Sequence
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

import everyrung
from everyrung.store.digest import versions

Facts = dict[str, str]
LIBRARIES = ("mujoco", "musclemimic-models", "numba", "numpy", "scipy")  # by which last digits may differ
READ = (".csv", ".py", ".toml", ".zip")  # files of the package that answers depend on
KEPT = 4  # tasks; chosen, because a worker may serve several studios in turn

_alone = threading.Lock()  # the body's caches are for one thread
_working = False  # whether this process does chunks for another one


def is_worker() -> bool:
    """Whether this process does chunks for another one: what it needs computed it computes itself."""
    return _working


@cache
def facts() -> Facts:
    """What must be the same at both ends: the version, a digest of the package's files, Python, libraries."""
    folder, hasher = Path(everyrung.__file__).parent, hashlib.sha256()
    for path in sorted(folder.rglob("*")):
        if path.suffix in READ and "static" not in path.parts:
            hasher.update(f"{path.relative_to(folder).as_posix()}\0".encode() + path.read_bytes())
    python = ".".join(platform.python_version_tuple()[:2])
    libraries = dict(each.rsplit(" ", 1) for each in versions(*LIBRARIES))
    return {"everyrung": everyrung.__version__, "its files": hasher.hexdigest()[:12], "Python": python, **libraries}


def do_chunk(expected: Facts, task: bytes, values: bytes) -> tuple[str, Any]:
    """('answers', the pickled answer of each value); ('problem', the pickled exception) of the first that has none;
    ('differs', the worker's own facts) when they are not as `expected`.
    """
    global _working
    _working = True
    if facts() != expected:
        return "differs", facts()
    with _alone:
        try:
            work = _task(task)
            return "answers", pickle.dumps([work(value) for value in pickle.loads(values)])
        except Exception as problem:
            return "problem", _as_bytes(problem)


def pack(task: Callable[..., Any], values: Sequence[Any], size: int) -> tuple[bytes, list[bytes]]:
    """The task, and its values in chunks of `size`, as `do_chunk` takes them."""
    chunks = [values[at : at + size] for at in range(0, len(values), size)]
    return pickle.dumps(task), [pickle.dumps(list(chunk)) for chunk in chunks]


def unpack(kind: str, answer: Any) -> list[Any]:
    """The answers. Raises the exception that the task raised."""
    if kind == "problem":
        raise pickle.loads(answer)
    answers: list[Any] = pickle.loads(answer)
    return answers


@lru_cache(maxsize=KEPT)
def _task(task_bytes: bytes) -> Callable[[Any], Any]:
    work: Callable[[Any], Any] = pickle.loads(task_bytes)
    return work


def _as_bytes(problem: Exception) -> bytes:
    """The exception; of one that can't be sent, its name and words."""
    try:
        pickle_bytes = pickle.dumps(problem)
        pickle.loads(pickle_bytes)
    except Exception:
        return pickle.dumps(RuntimeError(f"{type(problem).__name__}: {problem}"))
    return pickle_bytes
