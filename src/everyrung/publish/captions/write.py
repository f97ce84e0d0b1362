"""Captions as files' text: WebVTT and SubRip (SRT)."""

from collections.abc import Iterable

from everyrung.publish.captions.terms import ARROW, Caption
from everyrung.publish.captions.times import stamp

_BRACKETS = str.maketrans("<>", "‹›")


def vtt(captions: Iterable[Caption]) -> str:
    """A WebVTT file's text. The numbers before the times keep simple readers from dropping words that are numbers."""
    return "\n".join(["WEBVTT\n", *(_block(index, each, ".") for index, each in enumerate(captions, 1))])


def srt(captions: Iterable[Caption]) -> str:
    """A SubRip file's text, which knows no escapes: words like a tag, which players hide, get ‹ and ›."""
    return "\n".join(_block(index, each, ",") for index, each in enumerate(captions, 1))


def escaped(line: str) -> str:
    """Text of a WebVTT cue: the three signs that the format reserves, by name."""
    return line.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def untagged(text: str) -> str:
    """Text without anything between < and >; a lone sign of either kind is no tag."""
    return text.translate(_BRACKETS) if ">" in text.partition("<")[2] else text


def _block(index: int, caption: Caption, point: str) -> str:
    lines = [line for line in caption.lines if line.strip()]
    text = "\n".join(map(escaped, lines)) if point == "." else untagged("\n".join(lines))
    return f"{index}\n{stamp(caption.at_ms, point)} {ARROW} {stamp(caption.end_ms, point)}\n{text}\n"
