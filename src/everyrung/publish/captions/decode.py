"""Bytes of a caption file as text: UTF-8 first, by its mark where there is one, Western European else."""

import codecs

from everyrung.publish.problem import Problem

_MARKED = ((codecs.BOM_UTF8, "utf-8-sig"), (codecs.BOM_UTF16_LE, "utf-16"), (codecs.BOM_UTF16_BE, "utf-16"))
_SAMPLE = 40  # chosen, because a line of a caption is about as long


def decoded(content: bytes) -> tuple[str, list[Problem]]:
    """The text with line feeds only, and whether its encoding was guessed. Never raises."""
    encoding = next((name for mark, name in _MARKED if content.startswith(mark)), "utf-8")
    try:
        return _fed(content.decode(encoding)), []
    except UnicodeDecodeError as error:
        text = _fed(content.decode("cp1252", errors="replace").removeprefix("ï»¿"))
        return text, [_guessed(text, error)]


def _fed(text: str) -> str:
    """Line feeds only, and no NUL, which WebVTT replaces too."""
    return text.replace("\r\n", "\n").replace("\r", "\n").replace("\0", "\ufffd")


def _guessed(text: str, error: UnicodeDecodeError) -> Problem:
    """Windows-1252 was read, which is what old tools write; told with the line where it first matters."""
    before = error.object[: error.start].decode("latin-1")  # one sign a byte: only lines are counted
    line = _fed(before).count("\n") + 1
    sample = [*text.split("\n"), ""][line - 1].strip()[:_SAMPLE]
    return Problem(
        line=line,
        what="encoding",
        expected="UTF-8",
        got=f"byte {error.object[error.start]:02x}; read as Windows-1252: {sample}",
        repaired=True,
        remedy="Look at the sample: if it reads wrong, save the file as UTF-8 and read it again.",
    )
