"""Caption files from elsewhere, WebVTT or SubRip: no word is lost, and everything that is wrong is named.

Rolling captions show each line twice, below and then above: every line once. What can be repaired is, what cannot is
reported with its line.
"""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from everyrung.publish.captions.format import LEAST_MS, Caption, Note, stamp
from everyrung.publish.captions.parse import INNER_TIME, RawCue, blocks, by_voice, decode, plain_line
from everyrung.publish.captions.rules import CaptionAtLine, broken_rules
from everyrung.publish.problem import Problem

FLASH_MS = 50  # chosen, because speech services write 10 ms and nobody reads in a twentieth of a second


@dataclass(frozen=True, slots=True, kw_only=True)
class Cue:
    """A cue in plain words; `inner_times` says that single words are timed, as rolling captions do."""

    line: int
    at_ms: int
    end_ms: int
    lines: tuple[str, ...]
    inner_times: bool
    speakers: tuple[str, ...] = ()


def unroll(cues: Sequence[Cue]) -> tuple[tuple[Cue, ...], tuple[Problem, ...]]:
    """The cues with every line once; as they were where nothing rolls."""
    if not _rolls(cues):
        return tuple(cues), ()
    cues_once: list[Cue] = []
    first, repeats = 0, 0
    for before, cue in zip([None, *cues], cues, strict=False):
        still = 0 if before is None else _standing(before, cue)
        if before is not None and _is_echo(before, cue):
            still = len(cue.lines)
        first = first or (cue.line if still else 0)
        repeats += still
        if still < len(cue.lines) or not cue.lines:
            cues_once.append(_without(cue, still))
    return tuple(cues_once), (_rolling(first, repeats),)


def _rolls(cues: Sequence[Cue]) -> bool:
    """Echoes prove it; lines that stand only where single words are timed too."""
    with_times = any(cue.inner_times for cue in cues)
    return any(
        _is_echo(before, after) or (with_times and _follows(before, after) and _standing(before, after))
        for before, after in pairwise(cues)
    )


def _is_echo(before: Cue, after: Cue) -> bool:
    """A flash that only repeats what stood there: the moment in which the lines move up."""
    flash = 0 < after.end_ms - after.at_ms <= FLASH_MS and bool(after.lines)
    return flash and _follows(before, after) and before.lines[-len(after.lines) :] == after.lines


def _standing(before: Cue, after: Cue) -> int:
    """How many lines at the top of `after` stood at the bottom of `before`, silence between them or not; its last line
    always is a new one.
    """
    most = min(len(before.lines), len(after.lines) - 1)
    return next((count for count in range(most, 0, -1) if before.lines[-count:] == after.lines[:count]), 0)


def _follows(before: Cue, after: Cue) -> bool:
    """One picture follows the other without a pause."""
    return abs(after.at_ms - before.end_ms) <= FLASH_MS


def _without(cue: Cue, count: int) -> Cue:
    return replace(cue, lines=cue.lines[count:], speakers=cue.speakers[count:])


def _rolling(line: int, repeats: int) -> Problem:
    return Problem(
        line=line,
        what="rolling captions",
        expected="each line in one cue",
        got=f"{repeats} line{'s' if repeats > 1 else ''} shown again as the text moved up",
        put_right=True,
        remedy="Each is kept once; words that were said twice are kept twice.",
    )


def with_words(cues: Sequence[Cue]) -> tuple[list[Cue], list[Problem]]:
    """The cues without empty ones, and a problem for each of those."""
    empty = [cue for cue in cues if not cue.lines]
    return [cue for cue in cues if cue.lines], [_empty(cue.line, cue.at_ms) for cue in empty]


def with_lengths(cues: Sequence[Cue]) -> tuple[list[CaptionAtLine], list[Problem]]:
    """Captions with their lines; an end not after the start becomes the least time, up to the next cue."""
    starts_ms = sorted(cue.at_ms for cue in cues)
    pairs: list[CaptionAtLine] = []
    problems: list[Problem] = []
    for cue in cues:
        end_ms = cue.end_ms
        if end_ms <= cue.at_ms:
            after = bisect_right(starts_ms, cue.at_ms)
            next_ms = starts_ms[after : after + 1]
            end_ms = min([cue.at_ms + LEAST_MS, *next_ms])
            problems.append(_backwards(cue, end_ms))
        caption = Caption(at_ms=cue.at_ms, end_ms=end_ms, lines=cue.lines, speakers=cue.speakers)
        pairs.append((cue.line, caption))
    return pairs, problems


def _empty(line: int, at_ms: int) -> Problem:
    return Problem(
        line=line,
        what="empty cue",
        expected="words",
        got=f"none at {stamp(at_ms, '.')}",
        put_right=True,
        remedy="Left out.",
    )


def _backwards(cue: Cue, end_ms: int) -> Problem:
    return Problem(
        line=cue.line,
        what="end not after start",
        expected=f"an end after {stamp(cue.at_ms, '.')}",
        got=stamp(cue.end_ms, "."),
        put_right=True,
        remedy=f"Read as ending at {stamp(end_ms, '.')}.",
    )


_HEADER = "WEBVTT"


@dataclass(frozen=True, slots=True, kw_only=True)
class Read:
    """Captions in the file's order, problems by line, and the notes of whoever made it."""

    captions: tuple[Caption, ...]
    problems: tuple[Problem, ...]
    notes: tuple[Note, ...] = ()


def read_captions(content: bytes, name: str) -> Read:
    """The captions of a file; `name` ends in .vtt or .srt, but the content decides. Never raises."""
    text, problems = decode(content)
    has_head = text.startswith(_HEADER)
    is_vtt = has_head or name.lower().endswith(".vtt")
    if is_vtt and not has_head:
        problems.append(_no_header(text))
    cue_file = blocks(text, is_vtt=is_vtt)
    cues = [_plain(raw, problems) for raw in cue_file.cues]
    still, rolling = unroll(cues)
    full, empty = with_words(still)
    pairs, backwards = with_lengths(full)
    problems += [*cue_file.problems, *rolling, *empty, *backwards, *broken_rules(pairs)]
    if not cue_file.cues:
        problems.append(_nothing(name))
    captions = tuple(caption for _, caption in pairs)
    starts = [line for line, _ in pairs]
    notes = tuple(Note(line=line, text=text, after=bisect_right(starts, line)) for line, text in cue_file.notes)
    return Read(captions=captions, problems=tuple(sorted(problems, key=lambda each: each.line)), notes=notes)


def _plain(raw: RawCue, problems: list[Problem]) -> Cue:
    """The cue in plain words; lines of tags only are gone."""
    lines = [(speaker, plain_line(text, line)) for line, speaker, text in by_voice(raw.payload)]
    problems += [problem for _, each in lines for problem in each.problems]
    speakers = tuple(speaker for speaker, each in lines if each.text)
    return Cue(
        line=raw.line,
        at_ms=raw.at_ms,
        end_ms=raw.end_ms,
        lines=tuple(each.text for _, each in lines if each.text),
        inner_times=any(INNER_TIME.search(text) for _, text in raw.payload),
        speakers=speakers if any(speakers) else (),
    )


def _no_header(text: str) -> Problem:
    return Problem(
        line=1,
        what="header",
        expected=f"{_HEADER} at the very start",
        got=text.partition("\n")[0].strip() or "an empty line",
        put_right=True,
        remedy=f"Read all the same; browsers refuse it. Put a line {_HEADER} and a blank one first.",
    )


def _nothing(name: str) -> Problem:
    return Problem(
        line=0,
        what="captions",
        expected="at least one line with two times and --> between them",
        got=f"none in {name}",
        put_right=False,
        remedy="Choose a WebVTT (.vtt) or SubRip (.srt) file.",
    )
