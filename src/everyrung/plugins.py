"""What declares things of one kind: every module of a package of ours, and every module that another distribution names
under an entry point group of ours (PyPA entry points specification).
"""

import os
import sys
from collections.abc import Callable, Iterator, Sequence
from functools import lru_cache
from importlib import import_module
from pathlib import Path
from types import ModuleType
from typing import TypeVar

from everyrung.terms.errors import short_text
from everyrung.terms.frozen import dataclass

Kind = TypeVar("Kind")
MOST_WORDS = 200  # characters of another package's error; chosen, because a sentence is read and a page is not


@dataclass(frozen=True, slots=True, kw_only=True)
class Plugin:
    """One entry point of another distribution: its module, or in `problem` a sentence that says why there is none."""

    group: str
    name: str
    module: ModuleType | None = None
    problem: str = ""


def own_modules(package: ModuleType) -> Iterator[ModuleType]:
    """Every module that lies in the folder of a package, by name."""
    stems = {Path(name).stem for folder in package.__path__ for name in os.listdir(folder) if name.endswith(".py")}
    for stem in sorted(stems - {"__init__"}):
        yield import_module(f"{package.__name__}.{stem}")


def instances_in(module: ModuleType, kind: type[Kind]) -> Iterator[Kind]:
    """What stands in a module of that kind, in its order."""
    yield from (value for value in vars(module).values() if isinstance(value, kind))


@lru_cache
def plugins(group: str) -> tuple[Plugin, ...]:
    """The entry points of a group, loaded. One that fails is there with a sentence; it never raises."""
    if not _any_named(group):
        return ()
    from importlib.metadata import entry_points  # slow to import: only when there is one

    return tuple(_load(group, point.name, point.value, point) for point in entry_points(group=group))


def of_plugins(
    group: str, kind: type[Kind], article: str, refusal: Callable[[Kind], str]
) -> tuple[list[tuple[Plugin, Kind]], list[str]]:
    """What the plug-ins of a group declare and can be used, each with its plug-in, and a sentence for each thing that
    cannot: `refusal` says why, or ''. `article` goes before the kind's name, 'a' rule or 'an' output.
    """
    noun = kind.__name__.lower()
    pairs: list[tuple[Plugin, Kind]] = []
    problems: list[str] = []
    for plugin in plugins(group):
        if plugin.module is None:
            problems.append(plugin.problem)
            continue
        things = list(instances_in(plugin.module, kind))
        if not things:
            problems.append(f"The plug-in {plugin.name!r} ({group}) has no {noun}: none is marked with @{noun}.")
        for thing in things:
            if problem := refusal(thing):
                words = f"{article.capitalize()} {noun} of the plug-in {plugin.name!r} is left out"
                problems.append(f"{words}: {problem}.")
            else:
                pairs.append((plugin, thing))
    return pairs, problems


def trouble_words(error: BaseException) -> str:
    """'ZeroDivisionError: division by zero', cut to a sentence."""
    words = " ".join(f"{type(error).__name__}: {error}".split()).rstrip(":. ")
    return words if len(words) <= MOST_WORDS else words[: MOST_WORDS - 1] + "…"


def _load(group: str, name: str, value: str, point: object) -> Plugin:
    words = f"The plug-in {short_text(name)} ({short_text(value)}, entry point group {group})"
    remedy = "Update or uninstall it; all else works without it."
    try:
        module = point.load()  # type: ignore[attr-defined]
    except (Exception, SystemExit) as error:
        return Plugin(group=group, name=name, problem=f"{words} cannot be loaded: {trouble_words(error)}. {remedy}")
    if not isinstance(module, ModuleType):
        return Plugin(group=group, name=name, problem=f"{words} names no module. {remedy}")
    return Plugin(group=group, name=name, module=module)


def _any_named(group: str) -> bool:
    """Whether the metadata of any distribution on the path names the group: a look at files that are small, for the
    library that reads them properly takes as long to import as a whole check.
    """
    return any(f"[{group}]".encode() in _entry_point_bytes(path) for path in _metadata_folders(sys.path))


def _metadata_folders(search_path: Sequence[str]) -> Iterator[str]:
    for folder in dict.fromkeys(search_path):
        try:
            names = os.listdir(folder or ".")
        except OSError:
            continue
        yield from (os.path.join(folder, name) for name in names if name.endswith((".dist-info", ".egg-info")))


def _entry_point_bytes(folder: str) -> bytes:
    try:
        with open(os.path.join(folder, "entry_points.txt"), "rb") as file:
            return file.read()
    except OSError:
        return b""
