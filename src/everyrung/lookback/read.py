"""A transcript file of any usual kind: captions, JSON of words, or text with marks of time. The content decides."""

import codecs
import json
import re
from collections.abc import Iterator
from pathlib import Path

from everyrung.lookback.marked_text import has_marks, marked_words
from everyrung.lookback.transcript import WORD_MS, TimedWord, Transcript, spread_words
from everyrung.publish.captions.format import ARROW, stamp_ms
from everyrung.publish.captions.parse import INNER_TIME, RawCue, blocks, decode, plain_line
from everyrung.publish.captions.read import Cue, unroll
from everyrung.publish.problem import Problem
from everyrung.terms.errors import Fault, Faults, Where, short_text

KINDS = "WebVTT or SubRip captions, JSON of words with their start, or text with marks such as [1:05]"
MOST_BYTES = 20_000_000  # chosen, because a day of speech has a tenth of that
LONGEST_S = 6 * 3600  # chosen, because no session is as long, and a wrong time would fill the memory
SLOW = 1.5  # times the usual length of a word; chosen, because 100 words a minute is slow speech
_JSON = re.compile(r"\s*(?:\{|\[\s*[\[{\]])")
_START, _END, _TEXT = ("start", "at", "from"), ("end", "to"), ("word", "text")


def read_transcript(path: Path) -> Transcript:
    """The words of a file with their times, in order.

    Raises Faults for what is no transcript, with line and what was expected; OSError when it can't be read.

    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as folder:
    ...     path = Path(folder) / "talk.txt"
    ...     _ = path.write_text("[0:05] Next the squat [0:12] Then right")
    ...     [(word.text, word.at_ms) for word in read_transcript(path).words][3:]
    [('then', 12000), ('right', 12363)]
    """
    return transcript_from_bytes(path.read_bytes(), path.name)


def transcript_from_bytes(content: bytes, name: str) -> Transcript:
    """The same of a file's content."""
    if len(content) > MOST_BYTES:
        raise _unusable(name, 0, f"a transcript of at most {MOST_BYTES // 1_000_000} MB", f"{len(content)} bytes")
    text, problems = decode(_marked_by_width(content))
    _check_is_text(name, text)
    if _JSON.match(text):
        words = list(_json_words(name, text))
    elif ARROW in text:
        words = list(_caption_words(text, problems))
    elif has_marks(text):
        words = list(marked_words(text, problems))
    else:
        line = next((line for line in text.split("\n") if line.strip()), "an empty file")
        raise _unusable(name, 1, KINDS, f"a file without a single time; it begins: {short_text(line)}")
    if not words:
        raise _unusable(name, 1, "words with times", "none")
    last_s = max(word.at_ms for word in words) // 1000
    if last_s > LONGEST_S:
        raise _unusable(name, 0, f"times within {LONGEST_S // 3600} hours", f"a word at {last_s} s")
    in_order = tuple(sorted(words, key=lambda word: word.at_ms))
    return Transcript(name=name, words=in_order, problems=tuple(problems))


def _marked_by_width(content: bytes) -> bytes:
    """UTF-16 without its mark, as some recorders write it, gets one: every second byte of plain words is 0."""
    if content.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return content
    odd, even = content[1:2000:2].count(0), content[0:2000:2].count(0)
    if max(odd, even) * 4 < len(content[:2000]):
        return content
    return (codecs.BOM_UTF16_LE if odd > even else codecs.BOM_UTF16_BE) + content


def _check_is_text(name: str, text: str) -> None:
    """Sound, film and archives are full of signs that no text has."""
    strange = sum((not sign.isprintable() and sign not in "\n\t") or sign == "\ufffd" for sign in text[:4000])
    if strange * 50 > len(text[:4000]):
        raise _unusable(name, 0, KINDS, "bytes that are no text")


def _unusable(name: str, line: int, expected: str, got: str) -> Faults:
    remedy = "Export the transcript again, with times."
    return Faults(
        [Fault(where=Where(file=name, line=line, field="transcript"), expected=expected, got=got, remedy=remedy)]
    )


def _caption_words(text: str, problems: list[Problem]) -> Iterator[TimedWord]:
    """Rolling lines once; words at their own times where the captions have them."""
    cue_file = blocks(text, is_vtt=text.startswith("WEBVTT"))
    raws = {raw.line: raw for raw in cue_file.cues}
    still, rolling = unroll([_plain(raw) for raw in cue_file.cues])
    problems += [*cue_file.problems, *rolling]
    for cue in still:
        lines = [line for _, line in raws[cue.line].payload if plain_line(line, 0).text]
        fresh = lines[len(lines) - len(cue.lines) :]
        natural_ms = SLOW * WORD_MS * len(" ".join(cue.lines).split())  # a line stays on when nobody speaks any more
        shown_ms = cue.end_ms - cue.at_ms
        end_ms = cue.at_ms + round(min(shown_ms, natural_ms) if shown_ms > 0 else natural_ms)
        if cue.inner_times:
            yield from _inner_words(" ".join(fresh), cue.at_ms, end_ms)
        else:
            yield from spread_words(" ".join(cue.lines), cue.at_ms, end_ms)


def _plain(raw: RawCue) -> Cue:
    lines = [plain_line(text, line).text for line, text in raw.payload]
    return Cue(
        line=raw.line,
        at_ms=raw.at_ms,
        end_ms=raw.end_ms,
        lines=tuple(line for line in lines if line),
        inner_times=any(INNER_TIME.search(text) for _, text in raw.payload),
    )


def _inner_words(payload: str, at_ms: int, end_ms: int) -> Iterator[TimedWord]:
    """Words between times in angle brackets: each piece from its time to the next."""
    times = [stamp_ms(text.strip("<>")) for text in INNER_TIME.findall(payload)]
    pieces = [plain_line(piece, 0).text for piece in INNER_TIME.split(payload)]
    starts = [at_ms, *(time if time is not None else at_ms for time in times)]
    for piece, begin, end in zip(pieces, starts, [*starts[1:], end_ms], strict=True):
        yield from spread_words(piece, begin, max(end, begin + 1), off_ms=0)


def _json_words(name: str, text: str) -> Iterator[TimedWord]:
    try:
        top = json.loads(text)
    except json.JSONDecodeError as error:
        raise _unusable(name, error.lineno, "JSON", f"{error.msg} in column {error.colno}") from None
    except RecursionError:
        raise _unusable(name, 1, "a list of words", "lists within lists without end") from None
    entries = _entries(top)
    if not entries:
        raise _unusable(name, 1, 'a list of {"word": ..., "start": seconds}', "none such")
    for number, entry in enumerate(entries, 1):
        yield from _entry_words(name, number, entry, entries[number] if number < len(entries) else {})


def _entries(top: object) -> list[dict[str, object]]:
    """The longest list of things with words and a start, wherever it stands; lists in order one after another."""
    if isinstance(top, list):
        rows = [row for row in top if isinstance(row, dict)]
        own = [row for row in rows if _field(row, _START) is not None and isinstance(_field(row, _TEXT), str)]
        inner = [entry for row in rows for value in row.values() for entry in _entries(value)]
        return max(own, inner, key=len)
    if isinstance(top, dict):
        return max(map(_entries, top.values()), key=len, default=[])
    return []


def _field(row: dict[str, object], names: tuple[str, ...]) -> object:
    return next((row[name] for name in names if name in row), None)


def _entry_words(name: str, number: int, entry: dict[str, object], after: dict[str, object]) -> Iterator[TimedWord]:
    words, start, end = str(_field(entry, _TEXT)), _field(entry, _START), _field(entry, _END)
    if isinstance(start, bool) or not isinstance(start, int | float) or not 0 <= start < 1e6:
        raise _unusable(name, 0, f"seconds from 0 on as the start of entry {number}", short_text(start))
    at_ms = round(start * 1000)
    until = end if isinstance(end, int | float) and start < end < 1e6 else _field(after, _START)
    is_usual = isinstance(until, int | float) and start < until < start + 60
    end_ms = round(float(until) * 1000) if is_usual and isinstance(until, int | float) else at_ms + 400
    single = len(words.split()) <= 1
    yield from spread_words(words, at_ms, end_ms, off_ms=0 if single else None)
