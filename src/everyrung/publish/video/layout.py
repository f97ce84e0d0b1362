"""Where on the picture what stands, in pixels, for a film and for a vertical clip; words of a scene as lines with their
places.

Lines of words as sprites, each rasterised once.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

import numpy as np

from everyrung.publish.video.raster import WORDS, Grey, Sprite, cover_of, ink_planes, rasters
from everyrung.publish.video.scenes import Scene
from everyrung.score.marks import cut, text_width, wrap


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A part of the picture; all four are even, for chroma has half the pixels."""

    x: int
    y: int
    wide: int
    high: int


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Rows:
    """Where rows of words stand: left and top of the first, how wide and how large they are, how far it is from one to
    the next, and how many there are at most.
    """

    x: int
    y: int
    wide: int
    size: int
    step: int = 0
    most: int = 1

    def holds(self, words: str) -> bool:
        """Whether all of it fits."""
        if self.most == 1:
            return text_width(words, self.size) <= self.wide
        return bool(wrap(words, self.wide, self.size, self.most))

    def puts(self, words: str, *, bold: bool = False, colour: str = "ink") -> Iterator[Put]:
        """The words, cut where they do not fit."""
        rows = wrap(words, self.wide, self.size, self.most) if self.most > 1 else ()
        for at, row in enumerate(rows or (cut(words, self.wide, self.size),)):
            yield Put(
                line=Line(words=row, size=self.size, bold=bold, colour=colour), x=self.x, y=self.y + self.step * at
            )

    def below(self, px: int) -> "Rows":
        """The same, further down."""
        return replace(self, y=self.y + px)


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """A picture's size, the parts of it that are painted anew each for itself, and where their words stand.

    `titles`: by size, the largest first; `kinds` and `names`: of the other versions, side by side or one under another;
    notes stand where the side does, or under it. No `clock` or `captions`: they are not shown.
    """

    wide: int
    high: int
    above: Box
    title: Box
    figure: Box
    aside: Box
    versions: Box
    progress: Box
    clock: Box | None = None
    captions: Box | None = None
    place: Rows
    titles: tuple[Rows, ...]
    label: Rows
    count: Rows
    of: Rows
    side: Rows
    notes: Rows
    next: Rows
    coming: Rows
    agenda: Rows
    agenda_right: int
    kinds: tuple[Rows, ...]
    names: tuple[Rows, ...]
    caption: Rows | None = None


LEFT, RIGHT = 40, 1_240  # chosen: 3 % of the breadth stays bare at either side, where some screens cut
COLUMN = 872  # from here on the count and what goes with it; chosen, because a figure needs two thirds
TITLE_SIZES = (46, 38, 32)  # chosen: read across a room, and the longest name of the examples fits
MOST_ROWS = 6  # of the opening
MOST_VERSIONS = 3  # harder, easier, without kit
VERSION_GAP = 30
VERSION_WIDE = (RIGHT - LEFT - 2 * VERSION_GAP) // MOST_VERSIONS
VERSION_X = tuple(LEFT + at * (VERSION_WIDE + VERSION_GAP) for at in range(MOST_VERSIONS))

FILM = Layout(
    wide=1_280,  # chosen, because it is the least called high definition, and encoded in half the time of more
    high=720,
    above=Box(x=LEFT, y=20, wide=RIGHT - LEFT - 190, high=38),
    title=Box(x=LEFT, y=58, wide=RIGHT - LEFT, high=66),
    figure=Box(x=LEFT, y=136, wide=808, high=454),
    aside=Box(x=COLUMN, y=128, wide=RIGHT - COLUMN, high=466),
    versions=Box(x=LEFT, y=596, wide=RIGHT - LEFT, high=94),
    clock=Box(x=RIGHT - 190, y=20, wide=190, high=38),
    progress=Box(x=LEFT, y=700, wide=RIGHT - LEFT, high=14),
    place=Rows(x=LEFT, y=20, wide=RIGHT - LEFT - 190, size=26),
    titles=tuple(Rows(x=LEFT, y=60, wide=RIGHT - LEFT, size=size) for size in TITLE_SIZES),
    label=Rows(x=COLUMN, y=136, wide=RIGHT - COLUMN, size=30, step=36, most=2),
    count=Rows(x=COLUMN, y=186, wide=RIGHT - COLUMN, size=160),
    of=Rows(x=16, y=298, wide=RIGHT - COLUMN, size=48),
    side=Rows(x=COLUMN, y=372, wide=RIGHT - COLUMN, size=42, step=56),
    notes=Rows(x=COLUMN, y=372, wide=RIGHT - COLUMN, size=28, step=36),
    next=Rows(x=COLUMN, y=480, wide=RIGHT - COLUMN, size=28),
    coming=Rows(x=COLUMN, y=514, wide=RIGHT - COLUMN, size=32, step=38, most=2),
    agenda=Rows(x=LEFT, y=196, wide=648, size=40, step=64, most=1),
    agenda_right=LEFT + 808,
    kinds=tuple(Rows(x=x, y=596, wide=VERSION_WIDE, size=24) for x in VERSION_X),
    names=tuple(Rows(x=x, y=626, wide=VERSION_WIDE, size=26, step=31, most=2) for x in VERSION_X),
)  # fmt: skip

# Upright, 1080 x 1920. Chosen: nothing stands in the lowest eighth nor in the topmost sixteenth, for players lay their
# own buttons and names over those (common practice, no source); what is said stands where one looks anyway, and the
# count is as large as it is read at arm's length.
CLIP_LEFT, CLIP_WIDE = 60, 960
CLIP_COLUMN = 560
CLIP_VERSION_Y = tuple(1_342 + at * 112 for at in range(MOST_VERSIONS))

CLIP = Layout(
    wide=1_080,
    high=1_920,
    above=Box(x=CLIP_LEFT, y=120, wide=CLIP_WIDE, high=60),
    title=Box(x=CLIP_LEFT, y=180, wide=CLIP_WIDE, high=190),
    figure=Box(x=CLIP_LEFT, y=376, wide=CLIP_WIDE, high=556),
    captions=Box(x=CLIP_LEFT, y=938, wide=CLIP_WIDE, high=140),
    aside=Box(x=CLIP_LEFT, y=1_084, wide=CLIP_WIDE, high=250),
    versions=Box(x=CLIP_LEFT, y=1_340, wide=CLIP_WIDE, high=336),
    progress=Box(x=CLIP_LEFT, y=1_684, wide=CLIP_WIDE, high=14),
    place=Rows(x=CLIP_LEFT, y=126, wide=CLIP_WIDE, size=38),
    titles=tuple(Rows(x=CLIP_LEFT, y=184, wide=CLIP_WIDE, size=size, step=size + 12, most=2) for size in (74, 62, 52)),
    label=Rows(x=CLIP_LEFT, y=1_090, wide=CLIP_COLUMN - CLIP_LEFT - 20, size=38),
    count=Rows(x=CLIP_LEFT, y=1_110, wide=CLIP_COLUMN - CLIP_LEFT - 20, size=210),
    of=Rows(x=20, y=1_256, wide=300, size=60),
    side=Rows(x=CLIP_COLUMN, y=1_124, wide=460, size=60, step=84),
    notes=Rows(x=CLIP_COLUMN, y=1_124, wide=460, size=38, step=50),
    next=Rows(x=CLIP_COLUMN, y=1_236, wide=460, size=34),
    coming=Rows(x=CLIP_COLUMN, y=1_276, wide=460, size=40),
    agenda=Rows(x=CLIP_LEFT, y=470, wide=CLIP_WIDE - 200, size=54, step=92),
    agenda_right=CLIP_LEFT + CLIP_WIDE,
    kinds=tuple(Rows(x=CLIP_LEFT, y=y, wide=CLIP_WIDE, size=32) for y in CLIP_VERSION_Y),
    names=tuple(Rows(x=CLIP_LEFT, y=y + 35, wide=CLIP_WIDE, size=38, step=38, most=2) for y in CLIP_VERSION_Y),
    caption=Rows(x=CLIP_LEFT, y=944, wide=CLIP_WIDE, size=52, step=64, most=2),
)


def above(scene: Scene, layout: Layout) -> tuple[Put, ...]:
    """Where in the session we are."""
    return tuple(layout.place.puts(scene.above, colour="soft"))


def title(scene: Scene, layout: Layout) -> tuple[Put, ...]:
    """The move's name, as large as its length allows."""
    rows = next((rows for rows in layout.titles if rows.holds(scene.title)), layout.titles[-1])
    return tuple(rows.puts(scene.title, bold=True))


def aside(scene: Scene, layout: Layout) -> tuple[Put, ...]:
    """What to do, the count, the side, amount and kit, and what comes next."""
    return (*_count(scene, layout), *_below(scene, layout), *_coming(scene, layout))


def _count(scene: Scene, layout: Layout) -> Iterator[Put]:
    yield from layout.label.puts(scene.label, colour="soft")
    if scene.count:
        count, of = layout.count, layout.of
        tone = "ink" if scene.working else "soft"
        yield Put(line=Line(words=scene.count, size=count.size, bold=True, colour=tone), x=count.x, y=count.y)
        yield Put(line=Line(words=scene.of, size=of.size, colour="soft"), x=of.x, y=of.y, anchor="after")


def _below(scene: Scene, layout: Layout) -> Iterator[Put]:
    notes = layout.notes
    if scene.side:
        yield Put(line=Line(words=scene.side, size=layout.side.size, bold=True), x=layout.side.x, y=layout.side.y)
        notes = notes.below(layout.side.step)
    for at, note in enumerate(scene.notes):
        yield from notes.below(at * notes.step).puts(note, colour="soft")


def _coming(scene: Scene, layout: Layout) -> Iterator[Put]:
    if scene.coming:
        yield from layout.next.puts("Next", bold=True, colour="now")
        yield from layout.coming.puts(scene.coming, bold=True)


def agenda(scene: Scene, layout: Layout) -> tuple[Put, ...]:
    """The rows of the opening."""
    result: list[Put] = []
    for at, (name, length) in enumerate(scene.agenda[:MOST_ROWS]):
        rows = layout.agenda.below(layout.agenda.step * at)
        rows = rows if length else replace(rows, wide=layout.agenda_right - rows.x)
        line = Line(words=length, size=rows.size, colour="soft")
        result += [*rows.puts(name), Put(line=line, x=layout.agenda_right, y=rows.y, anchor="right")]
    return tuple(result)


def versions(scene: Scene, layout: Layout) -> tuple[Put, ...]:
    """The other versions: as what each serves, and its name."""
    result: list[Put] = []
    for (kinds, name), kind_rows, name_rows in zip(scene.versions, layout.kinds, layout.names, strict=False):
        result += [*kind_rows.puts(kinds, bold=True, colour="now"), *name_rows.puts(name)]
    return tuple(result)


def caption(words: str, layout: Layout) -> tuple[Put, ...]:
    """What is said, where the picture itself shows it."""
    return tuple(layout.caption.puts(words)) if layout.caption and words else ()


def clock(left_s: int, layout: Layout) -> tuple[Put, ...]:
    """'24:12 left', sign by sign, so that a few sprites make every time."""
    if layout.clock is None:
        return ()
    right, y = layout.clock.x + layout.clock.wide, layout.clock.y
    minutes, seconds = divmod(left_s, 60)
    signs = f"{minutes}:{seconds:02d}"
    ends = Put(line=Line(words="left", size=26, colour="soft"), x=right, y=y, anchor="right")
    puts = [Put(line=_digit(sign), x=0 if at else 8, y=y, anchor="before") for at, sign in enumerate(reversed(signs))]
    return (ends, *puts)


def clock_lines(layout: Layout) -> list[Line]:
    """All that `clock` is made of."""
    return [*map(_digit, "0123456789:"), clock(0, layout)[0].line] if layout.clock else []


def _digit(sign: str) -> Line:
    return Line(words=sign, size=26, bold=True)


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
