"""Caption files from elsewhere, WebVTT or SubRip: no word is lost, and everything that is wrong is told."""

from dataclasses import dataclass

from everyrung.publish.captions.format import Caption
from everyrung.publish.captions.parse import INNER_TIME, RawCue, blocks, decoded, plain_line
from everyrung.publish.captions.rolling import Cue, unrolled
from everyrung.publish.captions.rules import broken_rules, with_lengths, with_words
from everyrung.publish.problem import Problem

_HEADER = "WEBVTT"


@dataclass(frozen=True, slots=True, kw_only=True)
class Read:
    """Captions in the file's order, and problems by line."""

    captions: tuple[Caption, ...]
    problems: tuple[Problem, ...]


def read_captions(content: bytes, name: str) -> Read:
    """The captions of a file; `name` ends in .vtt or .srt, but the content decides. Never raises."""
    text, problems = decoded(content)
    headed = text.startswith(_HEADER)
    is_vtt = headed or name.lower().endswith(".vtt")
    if is_vtt and not headed:
        problems.append(_no_header(text))
    found = blocks(text, is_vtt=is_vtt)
    cues = [_plain(raw, problems) for raw in found.cues]
    rolled, rolling = unrolled(cues)
    worded, empty = with_words(rolled)
    placed, backwards = with_lengths(worded)
    problems += [*found.problems, *rolling, *empty, *backwards, *broken_rules(placed)]
    if not found.cues:
        problems.append(_nothing(name))
    captions = tuple(caption for _, caption in placed)
    return Read(captions=captions, problems=tuple(sorted(problems, key=lambda each: each.line)))


def _plain(raw: RawCue, problems: list[Problem]) -> Cue:
    """The cue in plain words; lines of tags only are gone."""
    found = [plain_line(written, line) for line, written in raw.payload]
    problems += [problem for each in found for problem in each.problems]
    return Cue(
        line=raw.line,
        at_ms=raw.at_ms,
        end_ms=raw.end_ms,
        lines=tuple(each.text for each in found if each.text),
        inner_times=any(INNER_TIME.search(written) for _, written in raw.payload),
    )


def _no_header(text: str) -> Problem:
    return Problem(
        line=1,
        what="header",
        expected=f"{_HEADER} at the very start",
        got=text.partition("\n")[0].strip() or "an empty line",
        repaired=True,
        remedy=f"Read all the same; browsers refuse it. Put a line {_HEADER} and a blank one first.",
    )


def _nothing(name: str) -> Problem:
    return Problem(
        line=0,
        what="captions",
        expected="at least one line with two times and --> between them",
        got=f"none in {name}",
        repaired=False,
        remedy="Choose a WebVTT (.vtt) or SubRip (.srt) file.",
    )
