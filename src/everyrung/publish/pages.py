"""The one type family, Hanken Grotesk (SIL Open Font License): for typst as files, for a page inside it.

Pages from our templates: one HTML file that needs nothing else, every word of a plan escaped.
"""

import struct
import zlib
from base64 import b64encode
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

WEIGHTS = {400: "Regular", 600: "SemiBold"}


def font_folder() -> Path:
    """The folder of the font package's OpenType files."""
    folder: Any = files("font_hanken_grotesk") / "files"
    return Path(str(folder))


@cache
def font_faces() -> str:
    """@font-face rules with the fonts in them, so that a page needs no network."""
    return "\n".join(_face(weight, name) for weight, name in WEIGHTS.items())


def _face(weight: int, name: str) -> str:
    text = b64encode(woff((font_folder() / f"HankenGrotesk-{name}.otf").read_bytes())).decode()
    source = f"url(data:font/woff;base64,{text}) format('woff')"
    return f"@font-face {{ font-family: 'Hanken Grotesk'; font-weight: {weight}; src: {source}; }}"


def woff(font: bytes) -> bytes:
    """An OpenType font in the W3C's WOFF 1.0 container: the same tables, each compressed.

    Less than half the size. The file's own table order and check sums are kept.
    """
    flavour, count = struct.unpack_from(">4sH", font)
    entries = sorted(struct.unpack_from(">4sLLL", font, 12 + 16 * place) for place in range(count))
    at = 44 + 20 * count
    directory, body, whole = b"", b"", 12 + 16 * count
    for tag, checksum, offset, length in entries:
        table = font[offset : offset + length]
        small = zlib.compress(table, 9)
        content = small if len(small) < length else table
        directory += struct.pack(">4sLLLL", tag, at, len(content), length, checksum)
        block = content + b"\0" * (-len(content) % 4)
        body += block
        at += len(block)
        whole += length + -length % 4
    head = struct.pack(">4s4sLHHLHHLLLLL", b"wOFF", flavour, at, count, 0, whole, 1, 0, 0, 0, 0, 0, 0)
    return head + directory + body


@cache
def environment(package: str) -> Environment:
    """The templates of a package: every word escaped, and a name that is not given an error."""
    return Environment(
        loader=PackageLoader(package, "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        auto_reload=False,  # or each part of a page would look at its file's date
        trim_blocks=True,
        lstrip_blocks=True,
    )


def page(template: str, **content: Any) -> str:
    """The page of one template, with our fonts in it."""
    fonts = Markup(font_faces())  # our own text: base64 and fixed words
    return environment("everyrung.publish").get_template(template).render(fonts=fonts, **content)
