"""What a rung works most, computed: a coach's words for it, from muscles and joints of the reference bodies."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from typing import TYPE_CHECKING

from everyrung.tables.reader import read_table

if TYPE_CHECKING:
    from everyrung.terms.demand import RungDemand

IN_FOCUS = 0.6  # of what works hardest; chosen, because what works less is felt as help
SLIGHT = 0.3  # of what works hardest; chosen, because what works so little is no focus in any coach's words


@cache
def focus_words() -> dict[str, tuple[tuple[str, str], ...]]:
    """Each word of tables/focus.csv with what is meant: pairs of 'group' or 'motion' and its name."""
    meanings: dict[str, list[tuple[str, str]]] = {}
    for row in read_table("focus").rows:
        meanings.setdefault(row["word"], []).append((row["by"], row["name"]))
    return {word: tuple(names) for word, names in meanings.items()}


def efforts(demands: Iterable[RungDemand]) -> dict[str, float]:
    """How hard each word's part works in the mean of these bodies, hardest first: a part of all it can."""
    by_word: dict[str, list[float]] = {word: [] for word in focus_words()}
    for one in demands:
        peaks = _peaks(one)
        for word, names in focus_words().items():
            by_word[word].append(max(peaks.get(each, 0.0) for each in names))
    means = {word: sum(values) / len(values) for word, values in by_word.items() if values}
    return dict(sorted(means.items(), key=lambda each: -each[1]))


def computed_focus(demands: Iterable[RungDemand]) -> tuple[str, ...]:
    """The words for what works at least IN_FOCUS as hard as the hardest, hardest first."""
    by_word = efforts(demands)
    most = max(by_word.values(), default=0.0)
    return tuple(word for word, effort in by_word.items() if most and effort >= IN_FOCUS * most)


def _peaks(one: RungDemand) -> dict[tuple[str, str], float]:
    """How hard each group and each motion works, the harder of both sides, by 'group' or 'motion' and its name."""
    peaks: dict[tuple[str, str], float] = {}
    parts = [("group", each.group, each.peak) for each in one.groups]
    parts += [("motion", each.motion, min(each.fraction, 1.0)) for each in one.motions]
    for by, name, part in parts:
        key = by, name.removesuffix("_left").removesuffix("_right")
        peaks[key] = max(peaks.get(key, 0.0), part)
    return peaks
