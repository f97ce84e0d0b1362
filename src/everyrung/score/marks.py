"""Writing SVG by hand: rounded numbers, escaped words, nothing else."""

import re
from xml.sax.saxutils import escape, quoteattr

_NOT_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")  # W3C XML 1.0, production 2 (Char)


def num(value: float) -> str:
    """A number to two decimals, without a tail of zeros or a minus before zero."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def words(text: str) -> str:
    """Text as XML content; signs that XML cannot hold become the replacement sign."""
    return escape(_NOT_XML.sub("\ufffd", text))


def tag(name: str, content: str = "", /, **attributes: object) -> str:
    """An element. `class_` is class, an underscore is a hyphen; `content` is already XML."""
    parts = [name]
    for key, value in attributes.items():
        if value is not None:
            shown = num(value) if isinstance(value, float) else _NOT_XML.sub("\ufffd", str(value))
            parts.append(f"{key.rstrip('_').replace('_', '-')}={quoteattr(shown)}")
    head = " ".join(parts)
    return f"<{head}>{content}</{name}>" if content else f"<{head}/>"


def text(x: float, y: float, said: str, size: float, /, **attributes: object) -> str:
    """One line of words with its baseline at y."""
    return tag("text", words(said), x=x, y=y, font_size=num(size), **attributes)


def line(x1: float, y1: float, x2: float, y2: float, /, **attributes: object) -> str:
    return tag("path", d=f"M{num(x1)} {num(y1)}L{num(x2)} {num(y2)}", **attributes)


def group(parts: list[str], /, **attributes: object) -> str:
    """A group, or nothing when there is nothing in it."""
    return tag("g", "".join(parts), **attributes) if parts else ""
