"""Payload lines as plain words: tags taken off, named signs put in, nothing that a caption cannot hold."""

import html
import re
import unicodedata
from dataclasses import dataclass

from everyrung.publish.captions.format import ARROW
from everyrung.publish.problem import Problem

INNER_TIME = re.compile(r"<\d[\d:.]*>")
_TAG = re.compile(r"</?(?:c|i|b|u|v|s|ruby|rt|lang|font)(?:[.\s][^<>]*)?>", re.IGNORECASE)
_FOREIGN = re.compile(r"</?(?:font|s)(?:\s[^<>]*)?>|\{\\[^{}]*\}", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """One payload line: its words, and what was put right in it."""

    text: str
    problems: tuple[Problem, ...]


def plain_line(written: str, line: int) -> Words:
    """The words of a payload line at `line` of the file. A '<' that begins no known tag is a word's own."""
    problems = []
    bare = INNER_TIME.sub("", written)
    if tag := _FOREIGN.search(bare):
        problems.append(_tag(line, tag[0]))
    bare = html.unescape(_FOREIGN.sub("", _TAG.sub("", bare)))
    bare = "".join(" " if unicodedata.category(sign) in ("Cc", "Zl", "Zp") else sign for sign in bare)
    if ARROW in bare:
        problems.append(_arrow(line, bare))
        bare = bare.replace(ARROW, "→")
    return Words(text=bare.strip(), problems=tuple(problems))


def _tag(line: int, got: str) -> Problem:
    return Problem(
        line=line,
        what="tag",
        expected="words, or tags that WebVTT has",
        got=got,
        repaired=True,
        remedy="The words are kept; colour and place are not.",
    )


def _arrow(line: int, got: str) -> Problem:
    return Problem(
        line=line,
        what="arrow in the words",
        expected=f"{ARROW} between times only",
        got=got.strip(),
        repaired=True,
        remedy="Read as →. Players drop such a line: write → or 'to'.",
    )
