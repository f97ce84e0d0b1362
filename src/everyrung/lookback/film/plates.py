"""What the overlay shows of a scene: plates of words on paper, in the corners of the recording's picture."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from everyrung.publish.video.layout import AT_ONCE, Line
from everyrung.publish.video.raster import WORDS, Grey, cover_of, rasters, tokens
from everyrung.publish.video.scenes import COMING, Scene
from everyrung.score.marks import cut, wrap

Rgba = NDArray[np.uint8]  # (row, column, 4), straight alpha
BROAD, TALL = 1280, 720  # px in which a picture broader than tall is laid out, and the breadth of one that is taller
MARGIN, PAD, EDGE = 40, 14, 2  # px; the margin is that of the film (publish/video/layout.py)
PLATE_ALPHA = 225  # of 255; chosen by eye: words are read over any picture, which still shows through
MOST_WIDE = 520  # of a plate's words; chosen, two of them beside one another leave the middle free
MOST_PLATES = 16  # drawn ones that are held; chosen, as few stay while the count goes on
CORNERS = ("title", "count", "versions", "next")


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """Lines side by side, a gap between any two, all on one baseline."""

    lines: tuple[Line, ...]
    gap: int = 12


Plate = tuple[Row, ...]


def plates(scene: Scene) -> dict[str, Plate]:
    """By corner; what has nothing to say is not there."""
    result = {
        "title": _title(scene),
        "count": tuple(_count(scene)),
        "versions": tuple(_versions(scene)) if scene.working else (),
        "next": _coming(scene),
    }
    return {corner: plate for corner, plate in result.items() if plate}


def _title(scene: Scene) -> Plate:
    if scene.above.endswith(COMING):
        return ()
    return (Row(lines=(Line(words=cut(scene.title, MOST_WIDE, 34), size=34, bold=True),)),)


def _count(scene: Scene) -> Iterator[Row]:
    if scene.label:
        yield Row(lines=(Line(words=cut(scene.label, MOST_WIDE, 24), size=24, colour="soft"),))
    if scene.count:
        tone = "ink" if scene.working else "soft"
        of = Line(words=scene.of, size=34, colour="soft")
        yield Row(lines=(Line(words=scene.count, size=96, bold=True, colour=tone), of))
    if scene.side:
        yield Row(lines=(Line(words=scene.side, size=30, bold=True),))


def _versions(scene: Scene) -> Iterator[Row]:
    """The ladder, the harder at the top, what is led where it stands between them."""
    own = Row(lines=(Line(words=cut(scene.title, MOST_WIDE, 22), size=22, bold=True),))
    is_there = False
    for kinds, name in scene.versions:
        if not is_there and not kinds.startswith("harder"):
            is_there = True
            yield own
        kind = Line(words=kinds, size=20, bold=True, colour="now")
        yield Row(lines=(kind, Line(words=cut(name, MOST_WIDE - 130, 22), size=22)))
    if scene.versions and not is_there:
        yield own


def _coming(scene: Scene) -> Plate:
    words = scene.title if scene.above.endswith(COMING) else scene.coming
    if not words:
        return ()
    rows = wrap(words, MOST_WIDE - 60, 30, 2) or (cut(words, MOST_WIDE, 30),)
    head = Row(lines=(Line(words="Next", size=22, bold=True, colour="now"),))
    return (head, *(Row(lines=(Line(words=row, size=30, bold=True),)) for row in rows))


class PlateSprites:
    """Plates as pictures, at a picture's scale; every line is rasterised once."""

    def __init__(self, scale: float) -> None:
        self._scale = scale
        self._covers: dict[Line, Grey] = {}
        self._plates: dict[Plate, Rgba] = {}

    def make(self, every: Iterable[Plate]) -> None:
        """Rasterises what these need, many lines at once."""
        lines = {line for plate in every for row in plate for line in row.lines if line.words} - self._covers.keys()
        missing = sorted(lines, key=lambda line: (line.words, line.size))
        for at in range(0, len(missing), AT_ONCE):
            some = missing[at : at + AT_ONCE]
            items = [
                {"words": each.words, "size": each.size * self._scale, "weight": 600 if each.bold else 400}
                for each in some
            ]
            for line, grey in zip(some, rasters(WORDS, items), strict=True):
                self._covers[line] = cover_of(grey)

    def of(self, plate: Plate) -> Rgba:
        if plate not in self._plates:
            self.make([plate])
            if len(self._plates) >= MOST_PLATES:
                self._plates.clear()
            self._plates[plate] = self._draw(plate)
        return self._plates[plate]

    def _draw(self, plate: Plate) -> Rgba:
        rows = [[(self._covers[line], line) for line in row.lines if line.words] for row in plate]
        gaps = [round(row.gap * self._scale) for row in plate]
        pad = round(PAD * self._scale)
        wide = max(
            sum(cover.shape[1] for cover, _ in row) + gap * (len(row) - 1) for row, gap in zip(rows, gaps, strict=True)
        )
        heights = [max(cover.shape[0] for cover, _ in row) for row in rows]
        result = _paper(sum(heights) + 2 * pad, wide + 2 * pad, max(1, round(EDGE * self._scale)))
        y = pad
        for row, gap, high in zip(rows, gaps, heights, strict=True):
            x = pad
            largest = max(line.size for _, line in row)
            for cover, line in row:
                top = y + round((largest - line.size) * self._scale)  # a line's letters stand one size below its top
                part = result[top : top + cover.shape[0], x : x + cover.shape[1]]
                _ink(part, cover[: part.shape[0]], line.colour)
                x += cover.shape[1] + gap
            y += high
        return result


def _paper(high: int, wide: int, edge: int) -> Rgba:
    result = np.empty((high, wide, 4), np.uint8)
    result[:] = (*_rgb("line"), 255)
    result[edge:-edge, edge:-edge] = (*_rgb("raised"), PLATE_ALPHA)
    return result


def _ink(part: Rgba, cover: Grey, colour: str) -> None:
    """Words on paper: the more ink, the less of the picture behind shows through."""
    share = cover[..., np.newaxis].astype(np.float32) / 255
    full = np.array([*_rgb(colour), 255], np.float32)
    part[:] = np.rint(part + share * (full - part)).astype(np.uint8)


def _rgb(colour: str) -> tuple[int, int, int]:
    code = tokens()[colour]
    return int(code[1:3], 16), int(code[3:5], 16), int(code[5:7], 16)


def places(by_corner: dict[str, Rgba], wide: int, high: int, scale: float) -> Iterator[tuple[Rgba, int, int]]:
    """Each plate with its corner's x and y: title and versions at the top, count and next at the foot; in a picture
    that is taller than broad one below the other.
    """
    margin, gap = round(MARGIN * scale), round(PAD * scale)
    is_tall = high > wide
    for top, (left, right) in ((True, ("title", "versions")), (False, ("count", "next"))):
        reach = margin
        for corner in (left, right):
            if corner not in by_corner:
                continue
            plate = by_corner[corner][: high - 2 * margin, : wide - 2 * margin]
            y = reach if top else high - reach - plate.shape[0]
            x = margin if is_tall or corner == left else wide - margin - plate.shape[1]
            reach += plate.shape[0] + gap if is_tall else 0
            yield plate, x, y


def scale_of(wide: int, high: int) -> float:
    """How much larger a picture is than what its words are laid out for."""
    return wide / TALL if high > wide else min(wide / BROAD, high / TALL)


def every_plate(scenes: Sequence[Scene]) -> list[Plate]:
    return [plate for scene in scenes for plate in plates(scene).values()]
