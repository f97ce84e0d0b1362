"""Lines of words as sprites, each rasterised once."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from everyrung.publish.video.layout import Line
from everyrung.publish.video.raster import WORDS, Grey, Sprite, cover_of, inked, rasters

AT_ONCE = 400  # lines; chosen, because typst keeps the pages of one call in memory


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Set:
    """A line as a picture without the bare rows over and under it; `top` of them were over it, px, even."""

    sprite: Sprite
    top: int


class LineSprites:
    """Sprites by line. Those not asked for ahead are made when they are needed."""

    def __init__(self) -> None:
        self._made: dict[Line, Set] = {}

    def make(self, lines: Iterable[Line]) -> None:
        """Rasterises what is not there yet."""
        missing = [line for line in dict.fromkeys(lines) if line not in self._made and line.words]
        for at in range(0, len(missing), AT_ONCE):
            some = missing[at : at + AT_ONCE]
            items = [{"words": each.words, "size": each.size, "weight": 600 if each.bold else 400} for each in some]
            for line, grey in zip(some, rasters(WORDS, items), strict=True):
                self._made[line] = _trimmed(grey, line.colour)

    def of(self, line: Line) -> Set:
        if line not in self._made:
            self.make([line])
        return self._made[line]


def _trimmed(grey: Grey, colour: str) -> Set:
    cover = cover_of(grey)
    rows = np.flatnonzero(cover.any(axis=1))
    first, last = (int(rows[0]), int(rows[-1]) + 1) if len(rows) else (0, 2)
    top = first // 2 * 2
    return Set(sprite=inked(cover[top:last], colour), top=top)
