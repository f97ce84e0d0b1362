"""Each person's way through the waves of a session, by their place in the room."""

from collections.abc import Iterator, Sequence
from itertools import groupby

from everyrung.checks.waves import places_words
from everyrung.runsheet.terms import WaveEntry
from everyrung.terms.seconds import moment_text
from everyrung.timing.turns import wave_sizes


def wave_lines(waves: Sequence[WaveEntry]) -> tuple[str, ...]:
    """'Places 1 to 8: One, 6:55 squat (ball), 8:10 lunge; ...' for all who have the same way; none without waves."""
    if not waves:
        return ()
    ways = [tuple(_way(waves, place)) for place in range(waves[0].people)]
    lines, first = [], 1
    for way, alike in groupby(ways):
        last = first + len(list(alike)) - 1
        lines.append(f"{places_words(first, last).capitalize()}: {'; '.join(way)}.")
        first = last + 1
    return tuple(lines)


def who_lines(waves: Sequence[WaveEntry]) -> tuple[str, ...]:
    """Who is in which wave, in a line; none without waves."""
    ways = dict.fromkeys(", ".join(each.who) for each in waves)
    return (f"In waves, each person's way stands under In this room: {'; or '.join(ways)}.",) if ways else ()


def _way(waves: Sequence[WaveEntry], place: int) -> Iterator[str]:
    """What the person at a place does, round by round."""
    for name, entries in groupby(waves, key=lambda each: each.round):
        yield f"{name}: {', '.join(step for each in entries for step in _steps(each, place))}"


def _steps(one: WaveEntry, place: int) -> Iterator[str]:
    wave = _wave_of(one, place)
    for at, turn in enumerate(one.turns):
        when = f"{moment_text(one.at_ms[at])} " if one.at_ms else ""
        yield f"{when}{turn[wave].words}"


def _wave_of(one: WaveEntry, place: int) -> int:
    """Which wave a place, from 0, is in."""
    sizes = wave_sizes(one.people, len(one.turns))
    return next(at for at in range(len(sizes)) if place < sum(sizes[: at + 1]))
