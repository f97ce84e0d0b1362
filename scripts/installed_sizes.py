"""Print what the installed program and its tests' tools weigh, package by package, as docs/dependencies.md has it.

    .venv/bin/python scripts/installed_sizes.py [--each]

--each: what the project itself asks for, with the weight of what nothing else brings.
A package counts once, for the program where the program needs it; sizes are those of the files that its record names.
"""

import re
import sys
from collections.abc import Iterator
from importlib.metadata import Distribution, distributions

from packaging.requirements import Requirement

SHOWN_MB = 10.0


def plain(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()


INSTALLED = {plain(each.metadata["Name"]): each for each in distributions()}


def needs(package: Distribution, extra: str) -> Iterator[Requirement]:
    for line in package.requires or ():
        requirement = Requirement(line)
        if requirement.marker is None or requirement.marker.evaluate({"extra": extra}):
            yield requirement


def closure(extra: str = "", without: str = "") -> set[str]:
    """Everything that the project pulls in with one of its extras, but for what only `without` brings."""
    seen: set[tuple[str, str]] = set()
    waiting = [("everyrung", extra)]
    while waiting:
        name, wish = waiting.pop()
        if (name, wish) in seen or name not in INSTALLED:
            continue
        seen.add((name, wish))
        for requirement in needs(INSTALLED[name], wish):
            asked = plain(requirement.name)
            if (name, asked) != ("everyrung", without):
                waiting += [(asked, each) for each in ("", *requirement.extras)]
    return {name for name, _ in seen} - {"everyrung"}


def size_mb(name: str) -> float:
    package = INSTALLED[name]
    paths = [package.locate_file(each) for each in package.files or ()]
    return sum(path.stat().st_size for path in paths if path.is_file()) / 1e6  # type: ignore[attr-defined]


def each() -> None:
    """A line for each package that the project asks for: its weight, and with what it alone brings."""
    whole = closure()
    for name in sorted(plain(requirement.name) for requirement in needs(INSTALLED["everyrung"], "")):
        brings = (whole - closure(without=name)) | {name}
        print(f"{name:22} {size_mb(name):7.1f} {sum(map(size_mb, brings)):7.1f}")


def main() -> None:
    if "--each" in sys.argv:
        each()
        return
    program = closure()
    for title, names in (("the program", program), ("the tests' tools, more", closure("test") - program)):
        sizes = {name: size_mb(name) for name in names}
        print(f"{title}: {len(names)} packages, {sum(sizes.values()):.0f} MB")
        for name, size in sorted(sizes.items(), key=lambda each: -each[1]):
            if size >= SHOWN_MB:
                print(f"  {size:6.1f}  {name}")


if __name__ == "__main__":
    main()
