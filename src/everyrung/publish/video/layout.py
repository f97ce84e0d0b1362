"""Where on the picture what stands, in pixels of 1280 x 720; words of a scene as lines with their places.

Lines of words as sprites, each rasterised once.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from everyrung.publish.video.raster import WORDS, Grey, Sprite, cover_of, ink_planes, rasters
from everyrung.publish.video.scenes import Scene
from everyrung.score.marks import cut, text_width, wrap

WIDE, HIGH = 1_280, 720  # chosen, because it is the least called high definition, and encoded in half the time of more
LEFT, RIGHT = 40, 1_240  # chosen: 3 % of the breadth stays bare at either side, where some screens cut
COLUMN = 872  # from here on the count and what goes with it; chosen, because a figure needs two thirds
COLUMN_WIDE = RIGHT - COLUMN
TITLE_SIZES = (46, 38, 32)  # chosen: read across a room, and the longest name of the examples fits
MOST_VERSIONS = 3  # harder, easier, without kit
VERSION_GAP = 30
VERSION_WIDE = (RIGHT - LEFT - 2 * VERSION_GAP) // MOST_VERSIONS
MARK_HIGH = 14


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A part of the picture; all four are even, for chroma has half the pixels."""

    x: int
    y: int
    wide: int
    high: int


ABOVE = Box(x=LEFT, y=20, wide=RIGHT - LEFT - 190, high=38)
TITLE = Box(x=LEFT, y=58, wide=RIGHT - LEFT, high=66)
FIGURE = Box(x=LEFT, y=136, wide=808, high=454)
ASIDE = Box(x=COLUMN, y=128, wide=COLUMN_WIDE, high=466)
VERSIONS = Box(x=LEFT, y=596, wide=RIGHT - LEFT, high=94)
CLOCK = Box(x=RIGHT - 190, y=20, wide=190, high=38)
PROGRESS = Box(x=LEFT, y=700, wide=RIGHT - LEFT, high=MARK_HIGH)


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """Words in one size (px), weight and colour of the tokens."""

    words: str
    size: int
    bold: bool = False
    colour: str = "ink"


@dataclass(frozen=True, slots=True, kw_only=True)
class Put:
    """A line with its em box's top at `y` and its left, middle or right at `x`; 'after': right of the put before."""

    line: Line
    x: int
    y: int
    anchor: str = "left"


def above(scene: Scene) -> tuple[Put, ...]:
    """Where in the session we are."""
    return (Put(line=Line(words=cut(scene.above, ABOVE.wide, 26), size=26, colour="soft"), x=LEFT, y=20),)


def title(scene: Scene) -> tuple[Put, ...]:
    """The move's name, as large as its length allows."""
    size = next((size for size in TITLE_SIZES if text_width(scene.title, size) <= TITLE.wide), TITLE_SIZES[-1])
    return (Put(line=Line(words=cut(scene.title, TITLE.wide, size), size=size, bold=True), x=LEFT, y=60),)


def aside(scene: Scene) -> tuple[Put, ...]:
    """What to do, the count, the side, amount and kit, and what comes next."""
    return (*_count(scene), *_below(scene), *_coming(scene))


def _count(scene: Scene) -> Iterator[Put]:
    rows = _rows(scene.label, 30)
    for at, row in enumerate(rows):
        yield Put(line=Line(words=row, size=30, colour="soft"), x=COLUMN, y=136 + 36 * at)
    if scene.count:
        tone = "ink" if scene.working else "soft"
        yield Put(line=Line(words=scene.count, size=160, bold=True, colour=tone), x=COLUMN, y=186)
        yield Put(line=Line(words=scene.of, size=48, colour="soft"), x=16, y=298, anchor="after")


def _below(scene: Scene) -> Iterator[Put]:
    y = 372
    if scene.side:
        yield Put(line=Line(words=scene.side, size=42, bold=True), x=COLUMN, y=y)
        y += 56
    for note in scene.notes:
        yield Put(line=Line(words=cut(note, COLUMN_WIDE, 28), size=28, colour="soft"), x=COLUMN, y=y)
        y += 36


def _coming(scene: Scene) -> Iterator[Put]:
    if not scene.coming:
        return
    yield Put(line=Line(words="Next", size=28, bold=True, colour="now"), x=COLUMN, y=480)
    for at, row in enumerate(_rows(scene.coming, 32)):
        yield Put(line=Line(words=row, size=32, bold=True), x=COLUMN, y=514 + 38 * at)


def agenda(scene: Scene) -> tuple[Put, ...]:
    """The rows of the opening."""
    result = []
    for at, (name, length) in enumerate(scene.agenda[:6]):
        y = FIGURE.y + 60 + 64 * at
        result.append(Put(line=Line(words=cut(name, FIGURE.wide - 160, 40), size=40), x=LEFT, y=y))
        result.append(
            Put(line=Line(words=length, size=40, colour="soft"), x=FIGURE.x + FIGURE.wide, y=y, anchor="right")
        )
    return tuple(result)


def versions(scene: Scene) -> tuple[Put, ...]:
    """The other versions side by side: as what each serves, and its name in two rows at most."""
    result = []
    for at, (kinds, name) in enumerate(scene.versions[:MOST_VERSIONS]):
        x = LEFT + at * (VERSION_WIDE + VERSION_GAP)
        kind = Line(words=cut(kinds, VERSION_WIDE, 24), size=24, bold=True, colour="now")
        result.append(Put(line=kind, x=x, y=VERSIONS.y))
        rows = wrap(name, VERSION_WIDE, 26, 2) or (cut(name, VERSION_WIDE, 26),)
        result += [
            Put(line=Line(words=row, size=26), x=x, y=VERSIONS.y + 30 + 31 * row_at) for row_at, row in enumerate(rows)
        ]
    return tuple(result)


def clock(left_s: int) -> tuple[Put, ...]:
    """'24:12 left', sign by sign, so that a few sprites make every time."""
    minutes, seconds = divmod(left_s, 60)
    signs = f"{minutes}:{seconds:02d}"
    ends = Put(line=Line(words="left", size=26, colour="soft"), x=RIGHT, y=20, anchor="right")
    puts = [Put(line=_digit(sign), x=0 if at else 8, y=20, anchor="before") for at, sign in enumerate(reversed(signs))]
    return (ends, *puts)


def clock_lines() -> list[Line]:
    """All that `clock` is made of."""
    return [_digit(sign) for sign in "0123456789:"] + [clock(0)[0].line]


def _digit(sign: str) -> Line:
    return Line(words=sign, size=26, bold=True)


def _rows(words: str, size: int) -> Sequence[str]:
    return wrap(words, COLUMN_WIDE, size, 2) or (cut(words, COLUMN_WIDE, size),)


AT_ONCE = 400  # lines; chosen, because typst keeps the pages of one call in memory


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Set:
    """A line as a picture without the bare rows over and under it; `top` of them were over it, px, even."""

    sprite: Sprite
    top: int


class LineSprites:
    """Sprites by line. Those not asked for ahead are made when they are needed."""

    def __init__(self) -> None:
        self._sets: dict[Line, Set] = {}

    def make(self, lines: Iterable[Line]) -> None:
        """Rasterises what is not there yet."""
        missing = [line for line in dict.fromkeys(lines) if line not in self._sets and line.words]
        for at in range(0, len(missing), AT_ONCE):
            some = missing[at : at + AT_ONCE]
            items = [{"words": each.words, "size": each.size, "weight": 600 if each.bold else 400} for each in some]
            for line, grey in zip(some, rasters(WORDS, items), strict=True):
                self._sets[line] = _trim(grey, line.colour)

    def of(self, line: Line) -> Set:
        if line not in self._sets:
            self.make([line])
        return self._sets[line]


def _trim(grey: Grey, colour: str) -> Set:
    cover = cover_of(grey)
    rows = np.flatnonzero(cover.any(axis=1))
    first, last = (int(rows[0]), int(rows[-1]) + 1) if len(rows) else (0, 2)
    top = first // 2 * 2
    return Set(sprite=ink_planes(cover[top:last], colour), top=top)
