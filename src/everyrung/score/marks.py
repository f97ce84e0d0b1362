"""Writing SVG by hand: rounded numbers, escaped words, their width in print, ink, paper and the textures of effort."""

import re
from functools import cache
from xml.sax.saxutils import escape, quoteattr

_NOT_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")  # W3C XML 1.0, production 2 (Char)


_NOT_PLAIN = re.compile(
    r"[^ !#-%'-;=?-~]"
)  # quotes, brackets, ampersands, and all that is not ASCII: to be written with care


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
            plain = num(value) if isinstance(value, float) else str(value)
            literal = quoteattr(_NOT_XML.sub("\ufffd", plain)) if _NOT_PLAIN.search(plain) else f'"{plain}"'
            parts.append(f"{_attribute(key)}={literal}")
    head = " ".join(parts)
    return f"<{head}>{content}</{name}>" if content else f"<{head}/>"


@cache
def _attribute(key: str) -> str:
    """The attribute that a keyword stands for: 'class' for 'class_', 'font-size' for 'font_size'."""
    return key.rstrip("_").replace("_", "-")


def text(x: float, y: float, content: str, size: float, /, **attributes: object) -> str:
    """One line of words with its baseline at y."""
    return tag("text", words(content), x=x, y=y, font_size=num(size), **attributes)


def line(x1: float, y1: float, x2: float, y2: float, /, **attributes: object) -> str:
    return tag("path", d=f"M{num(x1)} {num(y1)}L{num(x2)} {num(y2)}", **attributes)


def group(parts: list[str], /, **attributes: object) -> str:
    """A group, or nothing when there is nothing in it."""
    return tag("g", "".join(parts), **attributes) if parts else ""


# Advance widths in hundredths of an em, from the hmtx table of Hanken Grotesk SemiBold 0.0.2, space to tilde.
_WIDTHS = (
    "25 31 46 68 56 71 68 30 30 30 45 60 31 43 31 43 57 57 57 57 57 57 57 57 57 57 33 32 63 63 63 49 98 "
    "65 62 70 70 61 61 75 72 30 56 72 52 87 71 75 57 76 62 56 59 68 66 97 65 65 63 31 45 31 59 62 25 "
    "52 58 49 58 52 34 51 56 25 26 54 28 85 56 56 58 58 39 45 36 56 49 72 50 50 49 30 31 30 60"
)
_EM = {chr(place): int(width) / 100 for place, width in enumerate(_WIDTHS.split(), start=32)}
_OTHER_EM = 0.75  # chosen, because accented Latin, Greek and Cyrillic capitals are about this wide
_WIDE_EM = 1.05  # chosen, because East Asian letters and picture signs fill a square
_FALLBACK = 1.1  # chosen, because a system's sans serif, where ours is missing, runs up to a tenth wider
ELLIPSIS = "…"


def text_width(text: str, size: float) -> float:
    """A width that the text will hardly exceed, in the unit of `size`."""
    ems = sum(_EM.get(sign) or (_WIDE_EM if ord(sign) >= 0x1100 else _OTHER_EM) for sign in text)
    return ems * size * _FALLBACK


def wrap(text: str, width: float, size: float, most: int) -> tuple[str, ...]:
    """The text in at most `most` lines of `width`, broken between words; nothing when it does not fit."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(longer, size) <= width:
            lines[-1] = longer
        elif text_width(word, size) > width or len(lines) == most:
            return ()
        else:
            lines.append(word)
    return tuple(lines)


def cut(text: str, width: float, size: float) -> str:
    """The text, or as much of it as fits with an ellipsis; nothing when not even that fits."""
    if text_width(text, size) <= width:
        return text
    head = text
    while head and text_width(head + ELLIPSIS, size) > width:
        head = head[:-1]
    return head.rstrip() + ELLIPSIS if head else ""


PAPER = "#f8f3e7"
INK = "#1e1a15"
GRADES = range(1, 6)
_PITCH = 2.6
_TILE = 60.0  # chosen, because viewers leave hair seams between tiles, and a long tile has few
_WEIGHTS = {1: 0.35, 2: 0.75, 3: 1.2, 4: 1.75, 5: 2.6}  # of 2.6: from a seventh of the ground to solid


def textures(name: str) -> str:
    """The patterns of one picture; `name` keeps the ids of two pictures on one page apart."""
    grades = [
        _pattern(f"{name}-grade-{grade}", (_TILE, _PITCH), f"M0 {_PITCH / 2}H{_TILE}", _WEIGHTS[grade])
        for grade in GRADES
    ]
    return tag("defs", "".join([*grades, _pattern(f"{name}-change", (4.0, 4.0), "M-1 5L5 -1M-1 1L1 -1M3 5L5 3", 0.8)]))


def grade_fill(name: str, grade: int) -> str:
    return f"url(#{name}-grade-{grade})"


def change_fill(name: str) -> str:
    return f"url(#{name}-change)"


def _pattern(ident: str, size: tuple[float, float], path: str, weight: float) -> str:
    stroke = tag("path", d=path, stroke="currentColor", stroke_width=weight, fill="none")
    return tag("pattern", stroke, id=ident, width=size[0], height=size[1], patternUnits="userSpaceOnUse")
