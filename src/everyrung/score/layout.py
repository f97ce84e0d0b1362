"""Breaking the score into systems, as music is broken into lines, and where the lanes of a system stand."""

from dataclasses import dataclass
from itertools import pairwise

from everyrung.score.lanes import Score


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """What the score is drawn on. `line_ms` is what one system should hold; units are those of the viewBox."""

    name: str
    width: float
    left: float
    line_ms: int
    margin: float
    right: float = 12.0

    @property
    def inner(self) -> float:
        return self.width - self.left - self.right


# Chosen: 1080 units across A4 landscape make a 10-unit letter 7 pt; 314 units and their margins across the 380 CSS px
# that a telephone of 390 gives them make the smallest letter, 9.5 units, 11 px.
WIDE = Paper(name="wide", width=1080.0, left=66.0, line_ms=600_000, margin=14.0)
NARROW = Paper(name="narrow", width=314.0, left=54.0, line_ms=150_000, margin=6.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class System:
    """One line of the score. The scale is the same in every system, so lengths compare across lines."""

    number: int
    at_ms: int
    end_ms: int
    paper: Paper
    units_per_ms: float

    def x(self, at_ms: int) -> float:
        """Where a moment stands; moments outside the system stand at its edges."""
        within = min(max(at_ms, self.at_ms), self.end_ms)
        return self.paper.left + (within - self.at_ms) * self.units_per_ms

    def shows(self, at_ms: int, end_ms: int) -> bool:
        return at_ms < self.end_ms and end_ms > self.at_ms


def break_systems(score: Score, paper: Paper) -> tuple[System, ...]:
    """The fewest even lines: about `line_ms` each, broken where a cell or a block begins."""
    if not score.total_ms:
        return ()
    bars = sorted({0, score.total_ms, *_bars(score)})
    lines = max(1, round(score.total_ms / paper.line_ms))
    low = max(after - before for before, after in pairwise(bars))
    low, high = max(low, -(-score.total_ms // lines)), score.total_ms
    while low < high:  # the shortest line with which the bars fit into that many lines
        middle = (low + high) // 2
        low, high = (low, middle) if len(_breaks(bars, middle)) <= lines else (middle + 1, high)
    edges = [*_breaks(bars, low), score.total_ms]
    return tuple(
        System(number=number, at_ms=at_ms, end_ms=end_ms, paper=paper, units_per_ms=paper.inner / low)
        for number, (at_ms, end_ms) in enumerate(pairwise(edges), start=1)
    )


def _bars(score: Score) -> set[int]:
    """Where a line may end: the first span of each block and of each cell, rests with the cell they lead to."""
    result, before = set(), None
    for stretch in score.stretches:
        here = (stretch.span.block.name, stretch.span.cell.ref if stretch.span.cell else None)
        if here != before:
            result.add(stretch.span.at_ms)
        before = here
    return result


def _breaks(bars: list[int], most_ms: int) -> list[int]:
    """Where lines start when each takes as many bars as it can hold."""
    starts = [bars[0]]
    for before, after in pairwise(bars):
        if after - starts[-1] > most_ms:
            starts.append(before)
    return starts


HEAD = 38.0  # title, with a second line on narrow paper
SYSTEM = 200.0
GAP = 20.0
HALF = 29.0  # half the height of the sides lane
SMALL = 9.5  # size of lane names and labels
NAME = 10.5  # size of move names


@dataclass(frozen=True, slots=True, kw_only=True)
class Lines:
    """The lanes of a system whose ruler begins at `top`."""

    top: float

    @property
    def ruler(self) -> float:
        return self.top + 15

    @property
    def block(self) -> float:
        """Baseline of block and round names."""
        return self.top + 29

    @property
    def moves(self) -> float:
        """Top of the move lane."""
        return self.top + 34

    @property
    def centre(self) -> float:
        """The line between the participant's left and right."""
        return self.top + 100

    @property
    def standing(self) -> float:
        return self.top + 137

    @property
    def floor(self) -> float:
        return self.top + 160

    @property
    def kit(self) -> float:
        """The line that kit in hand is written on."""
        return self.top + 176

    @property
    def talk(self) -> float:
        """Middle of the talk lane."""
        return self.top + 186

    @property
    def rest(self) -> float:
        """Middle of the rest lane."""
        return self.top + 196

    @property
    def bottom(self) -> float:
        return self.top + SYSTEM
