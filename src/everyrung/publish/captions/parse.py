"""Caption files from elsewhere as they stand: bytes to text, blocks by time lines, payload as plain words."""

import codecs
import html
import re
import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise

from everyrung.publish.captions.format import ARROW, STAMP, stamp_ms
from everyrung.publish.problem import Problem

_MARKED = ((codecs.BOM_UTF8, "utf-8-sig"), (codecs.BOM_UTF16_LE, "utf-16"), (codecs.BOM_UTF16_BE, "utf-16"))
_SAMPLE = 40  # chosen, because a line of a caption is about as long


def decode(content: bytes) -> tuple[str, list[Problem]]:
    """The text with line feeds only, and whether its encoding was guessed. Never raises."""
    encoding = next((name for mark, name in _MARKED if content.startswith(mark)), "utf-8")
    try:
        return _with_line_feeds(content.decode(encoding)), []
    except UnicodeDecodeError as error:
        text = _with_line_feeds(content.decode("cp1252", errors="replace").removeprefix("ï»¿"))
        return text, [_encoding_problem(text, error)]


def _with_line_feeds(text: str) -> str:
    """Line feeds only, and no NUL, which WebVTT replaces too."""
    return text.replace("\r\n", "\n").replace("\r", "\n").replace("\0", "\ufffd")


def _encoding_problem(text: str, error: UnicodeDecodeError) -> Problem:
    """Windows-1252 was read, which is what old tools write; reported with the line where it first matters."""
    before = error.object[: error.start].decode("latin-1")  # one sign a byte: only lines are counted
    line = _with_line_feeds(before).count("\n") + 1
    sample = [*text.split("\n"), ""][line - 1].strip()[:_SAMPLE]
    return Problem(
        line=line,
        what="encoding",
        expected="UTF-8",
        got=f"byte {error.object[error.start]:02x}; read as Windows-1252: {sample}",
        put_right=True,
        remedy="Look at the sample: if it reads wrong, save the file as UTF-8 and read it again.",
    )


NumberedLine = tuple[int, str]
INNER_TIME = re.compile(r"<\d[\d:.]*>")
_TAG = re.compile(r"</?(?:c|i|b|u|v|s|ruby|rt|lang|font)(?:[.\s][^<>]*)?>", re.IGNORECASE)
_FOREIGN = re.compile(r"</?(?:font|s)(?:\s[^<>]*)?>|\{\\[^{}]*\}", re.IGNORECASE)


_VOICE = re.compile(r"<v(?:\.[^\s<>]*)?(?:\s([^<>]*))?>|</v>", re.IGNORECASE)


def by_voice(payload: Iterable[NumberedLine]) -> Iterator[tuple[int, str, str]]:
    """The payload's lines, each with its speaker and the words as they stand; one line of two speakers is two.

    A voice lasts until its end tag, another voice, or the end of the cue (w3c_webvtt, voice spans).
    """
    speaker = ""
    for line, text in payload:
        at = 0
        for tag in _VOICE.finditer(text):
            if (words := text[at : tag.start()]).strip():
                yield line, speaker, words
            speaker, at = " ".join(html.unescape(tag[1] or "").split()), tag.end()
        if (words := text[at:]).strip() or not at:
            yield line, speaker, words


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """One payload line: its words, and what was put right in it."""

    text: str
    problems: tuple[Problem, ...]


def plain_line(text: str, line: int) -> Words:
    """The words of a payload line at `line` of the file. A '<' that begins no known tag is a word's own."""
    problems = []
    bare = INNER_TIME.sub("", text)
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
        put_right=True,
        remedy="The words are kept; colour and place are not.",
    )


def _arrow(line: int, got: str) -> Problem:
    return Problem(
        line=line,
        what="arrow in the words",
        expected=f"{ARROW} between times only",
        got=got.strip(),
        put_right=True,
        remedy="Read as →. Players drop such a line: write → or 'to'.",
    )


_TAIL = r"(?=\s*$|\s+[A-Za-z]\w*:)"  # nothing, or settings such as 'line:91%'
_TIMES = re.compile(rf"\s*({STAMP})\s*-{{2,3}}>\s*({STAMP}){_TAIL}")
_ALMOST = re.compile(rf"\s*-?\d+:[\d:.,]*\s*-{{2,3}}>\s*-?[\d:.,]*{_TAIL}")  # meant as times
_ASIDE = re.compile(r"(?:NOTE|STYLE|REGION)(?:\s|$)")
_NOTE = re.compile(r"NOTE(?:\s|$)")
_MAP = "X-TIMESTAMP-MAP"


@dataclass(frozen=True, slots=True, kw_only=True)
class RawCue:
    """Times in ms as written, and the payload with the lines of the file it stands on."""

    line: int
    at_ms: int
    end_ms: int
    payload: tuple[NumberedLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Blocks:
    """`notes` begin on a line of the file; their text is without NOTE."""

    cues: tuple[RawCue, ...]
    notes: tuple[NumberedLine, ...]
    problems: tuple[Problem, ...]


def blocks(text: str, *, is_vtt: bool) -> Blocks:
    """Every cue of a WebVTT or SubRip text, in the file's order, and what was wrong between them."""
    lines = list(enumerate(text.split("\n"), 1))
    problems: list[Problem] = []
    notes: tuple[NumberedLine, ...] = ()
    if is_vtt:
        notes = tuple(_notes(lines))
        lines = list(_without_asides(lines, problems))
    starts = [at for at, (_, line) in enumerate(lines) if _TIMES.match(line) or _ALMOST.match(line)]
    cues: list[RawCue] = []
    for at, after in pairwise([*starts, len(lines)]):
        end = _without_name(lines, at, after, is_vtt=is_vtt)
        payload = _payload(lines[at + 1 : end], problems, is_vtt=is_vtt)
        if (cue := _cue(lines[at], payload, problems, point="." if is_vtt else ",")) is not None:
            cues.append(cue)
    return Blocks(cues=tuple(cues), notes=notes, problems=tuple(problems))


def _notes(lines: list[NumberedLine]) -> Iterator[NumberedLine]:
    """Comments: from NOTE after a blank line up to the next blank line, or times (w3c_webvtt, comment blocks)."""
    words: list[str] = []
    first, after_blank = 0, False
    for number, line in [*lines, (0, "")]:
        if not line or _TIMES.match(line):
            if first:
                yield first, "\n".join(words).strip()
            first, after_blank = 0, not line
            continue
        if first:
            words.append(line)
        elif after_blank and _NOTE.match(line):
            first, words = number, [line.removeprefix("NOTE").strip()]
        after_blank = False


def _without_asides(lines: list[NumberedLine], problems: list[Problem]) -> Iterator[NumberedLine]:
    """The lines without header, comments and styles; their first line stays as a blank one."""
    aside, after_blank = True, False
    for number, line in lines:
        if _TIMES.match(line):
            aside = False
        elif not line:
            aside, after_blank = False, True
            yield number, line
            continue
        elif after_blank and _ASIDE.match(line):
            aside = True
        if aside and line.startswith(_MAP):
            problems.append(_clock_of_a_stream(number, line))
        if not aside:
            yield number, line
        after_blank = False


def _without_name(lines: list[NumberedLine], at: int, after: int, *, is_vtt: bool) -> int:
    """Where the payload of the cue at `at` ends: before the next cue's number, or its name after a blank line.

    A line other than a number is not taken for a name when the cue would be left without words.
    """
    last = lines[after - 1][1].strip()
    if after == len(lines) or after - 1 == at or not last:
        return after
    if not is_vtt:
        return after - 1 if last.isdigit() else after
    alone = after - 2 == at or not lines[after - 2][1].strip()
    has_words = any(line.strip() for _, line in lines[at + 1 : after - 1])
    return after - 1 if alone and (has_words or last.isdigit()) else after


def _payload(lines: list[NumberedLine], problems: list[Problem], *, is_vtt: bool) -> tuple[NumberedLine, ...]:
    """The lines with words; words after a blank line are reported, since players drop them."""
    blank, is_reported = False, False
    result: list[NumberedLine] = []
    for number, line in lines:
        if not line.strip():
            blank = blank or not line or not is_vtt  # WebVTT ends a cue at a line without any sign only
            continue
        if blank and not is_reported:
            problems.append(_after_blank(number, line))
            is_reported = True
        result.append((number, line))
    return tuple(result)


def _cue(
    times_line: NumberedLine, payload: tuple[NumberedLine, ...], problems: list[Problem], *, point: str
) -> RawCue | None:
    number, line = times_line
    match = _TIMES.match(line)
    begin, end = (match[1], match[6]) if match else ("", "")
    at_ms, end_ms = stamp_ms(begin), stamp_ms(end)
    if at_ms is None or end_ms is None:
        problems.append(_no_times(number, line, payload))
        return None
    if not all(_well_formed(each, point) for each in (begin, end)):
        problems.append(_odd_times(number, line.strip(), at_ms, end_ms, point))
    return RawCue(line=number, at_ms=at_ms, end_ms=end_ms, payload=payload)


def _well_formed(text: str, point: str) -> bool:
    """The format's own form, minutes and seconds below 60; only WebVTT may leave hours out."""
    hours = r"(?:\d{2,}:)?" if point == "." else r"\d{2,}:"
    return re.fullmatch(rf"{hours}[0-5]\d:[0-5]\d[{point}]\d{{3}}", text) is not None


def _odd_times(line: int, got: str, at_ms: int, end_ms: int, point: str) -> Problem:
    return Problem(
        line=line,
        what="times",
        expected=f"00:01:11{point}913 --> 00:01:13{point}346",
        got=got,
        put_right=True,
        remedy=f"Read as {at_ms / 1000:g} s to {end_ms / 1000:g} s.",
    )


def _no_times(line: int, got: str, payload: tuple[NumberedLine, ...]) -> Problem:
    words = " / ".join(each.strip() for _, each in payload)
    return Problem(
        line=line,
        what="times",
        expected="two times with --> between them",
        got=got.strip(),
        put_right=False,
        remedy=f"These words are in no caption until the line is mended: {words or 'none'}.",
    )


def _after_blank(line: int, got: str) -> Problem:
    return Problem(
        line=line,
        what="blank line inside a cue",
        expected="the words of a cue without a blank line above or between them",
        got=got.strip(),
        put_right=True,
        remedy="The words are kept; many players drop them. Take the blank line out.",
    )


def _clock_of_a_stream(line: int, got: str) -> Problem:
    return Problem(
        line=line,
        what="clock",
        expected="times from the start of the recording",
        got=got.strip(),
        put_right=False,
        remedy="Cut from a live stream: the times are read as written, so compare the first words with the recording.",
    )
