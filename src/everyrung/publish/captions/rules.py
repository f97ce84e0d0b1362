"""What makes captions hard to read: too many or too wide lines, too little time, and an order that players get wrong.

Two who speak at once may have a caption each; what they take together is counted together.
"""

from collections.abc import Iterator, Sequence

from everyrung.publish.captions.format import LEAST_MS, MOST_LINES, MOST_SIGNS, MOST_WPM, Caption, stamp
from everyrung.publish.problem import Problem

CaptionAtLine = tuple[int, Caption]


def broken_rules(pairs: Sequence[CaptionAtLine]) -> Iterator[Problem]:
    """Lines, width, time to read and order, one caption after the other; nothing is changed."""
    beside = _beside(pairs)
    latest: dict[str, Caption] = {}
    for at, (line, caption) in enumerate(pairs):
        yield from _size(line, caption)
        yield from _pace(line, caption)
        yield from _together(line, caption, [pairs[other][1] for other in beside.get(at, ())])
        if at:
            before = pairs[at - 1][1]
            yield from _order(line, before, caption, _in_the_way(before, caption, latest))
        for voice in caption.voices:
            if voice not in latest or latest[voice].end_ms < caption.end_ms:
                latest[voice] = caption


def _are_two(one: Caption, other: Caption) -> bool:
    """Whether different people speak, all of them named."""
    return not one.voices & other.voices and "" not in one.voices | other.voices


def _beside(pairs: Sequence[CaptionAtLine]) -> dict[int, list[int]]:
    """For each caption those of others who speak while it is on screen."""
    result: dict[int, list[int]] = {}
    on_screen: list[int] = []
    for at in sorted(range(len(pairs)), key=lambda place: pairs[place][1].at_ms):
        caption = pairs[at][1]
        on_screen = [other for other in on_screen if pairs[other][1].end_ms > caption.at_ms]
        for other in on_screen:
            if _are_two(caption, pairs[other][1]):
                result.setdefault(at, []).append(other)
                result.setdefault(other, []).append(at)
        on_screen.append(at)
    return result


def _in_the_way(before: Caption, caption: Caption, latest: dict[str, Caption]) -> Caption | None:
    """The caption before it, or an earlier one of the same voice that is on screen for longer."""
    earlier = [latest[voice] for voice in caption.voices if voice in latest]
    if not _are_two(before, caption):
        earlier.append(before)
    return max(earlier, key=lambda each: each.end_ms, default=None)


def _size(line: int, caption: Caption) -> Iterator[Problem]:
    if len(caption.lines) > MOST_LINES:
        got = f"{len(caption.lines)} lines"
        yield _unread(line, "lines", f"at most {MOST_LINES} lines", got, "Split it into two captions.")
    widest = max(caption.lines, key=len)
    if len(widest) > MOST_SIGNS:
        got = f"{len(widest)}: {widest}"
        yield _unread(
            line, "width", f"at most {MOST_SIGNS} characters a line", got, "Break the line, or split the caption."
        )


def _pace(line: int, caption: Caption) -> Iterator[Problem]:
    """Too short for anyone, or too fast for its words."""
    shown_ms = caption.end_ms - caption.at_ms
    if shown_ms < LEAST_MS:
        remedy = "Let it stay until the next one, or join it with a neighbour."
        yield _unread(line, "time on screen", f"at least {LEAST_MS / 1000:g} s", f"{shown_ms / 1000:g} s", remedy)
    wpm = caption.words * 60_000 / shown_ms
    if wpm > MOST_WPM:
        remedy = f"Let it stay for {caption.needed_ms / 1000:g} s, or say less."
        yield _unread(line, "pace", f"at most {MOST_WPM} words a minute", f"{wpm:.0f} words a minute", remedy)


def _together(line: int, caption: Caption, others: Sequence[Caption]) -> Iterator[Problem]:
    """Two speak at once: the lines of both are on screen, and both are read."""
    if not others:
        return
    voices = len(frozenset().union(caption.voices, *(each.voices for each in others)))
    at_start = [each for each in others if each.at_ms <= caption.at_ms]
    lines = len(caption.lines) + sum(len(each.lines) for each in at_start)
    if at_start and lines > MOST_LINES:
        got = f"{lines} lines of {voices} speakers at once"
        yield _unread(
            line, "lines", f"at most {MOST_LINES} lines", got, "Let one end before the other begins, or say less."
        )
    shown_ms = caption.end_ms - caption.at_ms
    words = caption.words + sum(each.words * _shared_ms(caption, each) / (each.end_ms - each.at_ms) for each in others)
    if caption.words * 60_000 <= MOST_WPM * shown_ms < words * 60_000:
        got = f"{words * 60_000 / shown_ms:.0f} words a minute of {voices} speakers at once"
        yield _unread(line, "pace", f"at most {MOST_WPM} words a minute", got, "Let them speak in turn, or say less.")


def _shared_ms(one: Caption, other: Caption) -> int:
    return min(one.end_ms, other.end_ms) - max(one.at_ms, other.at_ms)


def _order(line: int, before: Caption, caption: Caption, in_the_way: Caption | None) -> Iterator[Problem]:
    at, earlier = stamp(caption.at_ms, "."), stamp(before.at_ms, ".")
    if caption.at_ms < before.at_ms:
        yield _unread(line, "order", f"a start at {earlier} or later", at, "Put the captions in order of time.")
    elif in_the_way and caption.at_ms < in_the_way.end_ms:
        end = stamp(in_the_way.end_ms, ".")
        remedy = f"End the one before at {at}, or begin this one later; of two who speak at once, name both."
        yield _unread(line, "overlap", f"a start at {end} or later", at, remedy)


def _unread(line: int, what: str, expected: str, got: str, remedy: str) -> Problem:
    return Problem(line=line, what=what, expected=expected, got=got, put_right=False, remedy=remedy)
