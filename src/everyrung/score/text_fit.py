"""How wide words are in print, without a font engine: enough to keep them from colliding."""

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
    kept = text
    while kept and text_width(kept + ELLIPSIS, size) > width:
        kept = kept[:-1]
    return kept.rstrip() + ELLIPSIS if kept else ""
