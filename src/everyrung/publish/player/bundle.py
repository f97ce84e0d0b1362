"""Modules of the browser as one script for a page that is a single file: each once, before those that import it.

Only what our own scripts use: `import { a, b as c } from "./x.js";`, `import "./x.js";` and `export` before a const, a
function or a class. Anything else raises ValueError with its file and line, as does a cycle.
"""

import re
from importlib.resources import files
from pathlib import Path, PurePosixPath
from typing import Any

_IMPORT = re.compile(r'^import (?:\{([^}]*)\} from )?"(\.{1,2}/[^"]+)";[^\n]*\n', re.MULTILINE)
_EXPORT = re.compile(r"^export ((?:const|class|async function|function) ([\w$]+))", re.MULTILINE)
_LEFT = re.compile(r"^\s*(?:import\b(?!\.)|export\b).*", re.MULTILINE)
# Comments that fill their lines.
_COMMENT = re.compile(r"^[ \t]*(?://[^\n]*|/\*\*(?:[^*]|\*(?!/))*\*/[ \t]*)\n", re.MULTILINE)


def scripts() -> Path:
    """The folder of the browser's scripts."""
    folder: Any = files("everyrung") / "static"
    return Path(str(folder))


def bundle(entry: str, folder: Path | None = None) -> str:
    """A strict script that does what the module `entry` does, 'player/main.js' in `folder` or among our own."""
    order: list[str] = []
    _visit(PurePosixPath(entry), folder or scripts(), order, ())
    names = {path: f"m{number}" for number, path in enumerate(order)}
    *parts, last = [_module(PurePosixPath(path), folder or scripts(), names) for path in order]
    modules = [f"const {names[path]} = (() => {{\n{text}}})();\n" for path, text in zip(order, parts, strict=False)]
    return f'"use strict";\n(async () => {{\n{"".join(modules)}{last}}})();\n'


def _visit(path: PurePosixPath, folder: Path, order: list[str], above: tuple[str, ...]) -> None:
    if str(path) in above:
        raise ValueError(f"{path} imports itself: {' -> '.join([*above, str(path)])}")
    if str(path) in order:
        return
    for _, target in _IMPORT.findall(_text(path, folder)):
        _visit(_beside(path, target), folder, order, (*above, str(path)))
    order.append(str(path))


def _text(path: PurePosixPath, folder: Path) -> str:
    return (folder / path).read_text(encoding="utf-8")


def _beside(path: PurePosixPath, target: str) -> PurePosixPath:
    """What a module means by a path from itself."""
    parts: list[str] = list(path.parent.parts)
    for part in PurePosixPath(target).parts:
        if part == "..":
            parts.pop()
        else:
            parts.append(part)
    return PurePosixPath(*parts)


def _module(path: PurePosixPath, folder: Path, names: dict[str, str]) -> str:
    """One module's text, its imports from constants; at its end it gives back all that it exports."""
    text = _text(path, folder)
    names_out = [name for _, name in _EXPORT.findall(text)]

    def binding(match: re.Match[str]) -> str:
        if match[1] is None:
            return ""
        bindings = ", ".join(": ".join(name.split(" as ")) for name in map(str.strip, match[1].split(",")) if name)
        return f"const {{ {bindings} }} = {names[str(_beside(path, match[2]))]};\n"

    body = _COMMENT.sub("", _EXPORT.sub(r"\1", _IMPORT.sub(binding, text)))
    if left := _LEFT.search(body):
        line = text[: text.index(left[0].strip())].count("\n") + 1
        raise ValueError(f"{path}, line {line}: expected a named import or export, got {left[0].strip()[:60]!r}")
    return f"{body}return {{ {', '.join(names_out)} }};\n"
