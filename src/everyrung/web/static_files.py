"""Static files under names that change with their content, so that browsers may keep them for ever."""

import gzip
from functools import cache
from hashlib import sha256
from importlib.resources import files
from pathlib import Path
from typing import Any

from everyrung.publish.pages import WEIGHTS, font_folder, woff

_TYPES = {".js": "text/javascript", ".css": "text/css", ".svg": "image/svg+xml", ".woff": "font/woff"}

TEXTS = tuple(kind for kind in _TYPES.values() if kind != "font/woff")  # fonts are compressed in themselves
GZIP_LEVEL = 6  # of 9; chosen, because it is the usual one


def _static() -> Path:
    folder: Any = files("everyrung") / "static"
    return Path(str(folder))


@cache
def static_files() -> dict[str, Path | bytes]:
    """Every static file by its name; nothing else is ever served."""
    root = _static()
    paths: dict[str, Path | bytes] = {
        path.relative_to(root).as_posix(): path
        for path in sorted(root.rglob("*"))
        if path.suffix in _TYPES and path.is_file()
    }
    tokens: Any = files("everyrung.publish") / "templates" / "tokens.css"
    paths["tokens.css"] = tokens.read_bytes()
    for weight, name in WEIGHTS.items():
        paths[f"hanken-grotesk-{weight}.woff"] = woff((font_folder() / f"HankenGrotesk-{name}.otf").read_bytes())
    return paths


def content(name: str) -> tuple[bytes, str] | None:
    """A file's bytes and media type; None for a name that is not one of ours."""
    file = static_files().get(name)
    if file is None:
        return None
    return (file if isinstance(file, bytes) else file.read_bytes()), _TYPES[Path(name).suffix]


@cache
def gzip_of(name: str) -> bytes:
    """One of our files as gzip."""
    file = content(name)
    return gzip.compress(file[0] if file else b"", GZIP_LEVEL)


@cache
def _stamp() -> str:
    """One stamp for all of them, since modules name each other."""
    hasher = sha256()
    for name in static_files():
        hasher.update(name.encode() + b"\0" + (content(name) or (b"", ""))[0])
    return hasher.hexdigest()[:12]


def asset(name: str) -> str:
    """The address of a static file."""
    if name not in static_files():
        raise LookupError(f"no static file {name}: run `pip install -e .` once more, which brings the scripts")
    return f"/static/{_stamp()}/{name}"
