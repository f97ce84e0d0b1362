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
    found: dict[str, Path | bytes] = {
        path.relative_to(root).as_posix(): path
        for path in sorted(root.rglob("*"))
        if path.suffix in _TYPES and path.is_file()
    }
    tokens: Any = files("everyrung.publish") / "templates" / "tokens.css"
    found["tokens.css"] = tokens.read_bytes()
    for weight, name in WEIGHTS.items():
        found[f"hanken-grotesk-{weight}.woff"] = woff((font_folder() / f"HankenGrotesk-{name}.otf").read_bytes())
    return found


def content(name: str) -> tuple[bytes, str] | None:
    """A file's bytes and media type; None for a name that is not one of ours."""
    found = static_files().get(name)
    if found is None:
        return None
    return (found if isinstance(found, bytes) else found.read_bytes()), _TYPES[Path(name).suffix]


@cache
def gzip_of(name: str) -> bytes:
    """One of our files as gzip."""
    found = content(name)
    return gzip.compress(found[0] if found else b"", GZIP_LEVEL)


@cache
def _stamp() -> str:
    """One stamp for all of them, since modules name each other."""
    found = sha256()
    for name in static_files():
        found.update(name.encode() + b"\0" + (content(name) or (b"", ""))[0])
    return found.hexdigest()[:12]


def asset(name: str) -> str:
    """The address of a static file."""
    if name not in static_files():
        raise LookupError(f"no static file {name}: run `pip install -e .` once more, which brings the scripts")
    return f"/static/{_stamp()}/{name}"
