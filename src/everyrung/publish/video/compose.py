"""Frames from scenes: a picture in which only what changed is painted anew."""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass

import av
import numpy as np
from av.video.plane import VideoPlane

from everyrung.publish.captions.format import Caption
from everyrung.publish.video import layout as words_of
from everyrung.publish.video.figures import Figures, Film
from everyrung.publish.video.layout import Box, Layout, LineSprites, Put
from everyrung.publish.video.raster import Grey, Sprite, yuv
from everyrung.publish.video.scenes import Scene, SceneView, scene_at

LINE_HIGH = 4  # of the progress line; chosen, because chroma needs an even number and two are lost on a small screen


class Canvas:
    """One picture, YUV 4:2:0, all paper at first; `frame` is painted in place and goes to the encoder as it is."""

    def __init__(self, wide: int, high: int) -> None:
        self.frame = av.VideoFrame(wide, high, "yuv420p")
        self._luma, self._blue, self._red = map(_pixels, self.frame.planes)
        self.fill(Box(x=0, y=0, wide=wide, high=high), "paper")

    def fill(self, box: Box, colour: str) -> None:
        luma, blue, red = (round(value) for value in yuv(colour))
        self._luma[box.y : box.y + box.high, box.x : box.x + box.wide] = luma
        rows, columns = slice(box.y // 2, (box.y + box.high) // 2), slice(box.x // 2, (box.x + box.wide) // 2)
        self._blue[rows, columns], self._red[rows, columns] = blue, red

    def paste(self, sprite: Sprite, x: int, y: int) -> None:
        """Puts a sprite with its corner at even x and y; what would be outside the picture is cut off."""
        x, y = x // 2 * 2, y // 2 * 2
        high, wide = min(sprite.high, self.frame.height - y), min(sprite.wide, self.frame.width - x)
        self._luma[y : y + high, x : x + wide] = sprite.luma[:high, :wide]
        rows, columns = slice(y // 2, (y + high) // 2), slice(x // 2, (x + wide) // 2)
        self._blue[rows, columns] = sprite.blue[: high // 2, : wide // 2]
        self._red[rows, columns] = sprite.red[: high // 2, : wide // 2]


def _pixels(plane: VideoPlane) -> Grey:
    """The memory of a plane itself (row, column), without what pads its rows."""
    return np.frombuffer(memoryview(plane), np.uint8).reshape(plane.height, plane.line_size)[:, : plane.width]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Picture:
    """All that is seen: scenes that follow each other from 0, marks on the line along the bottom, and captions that
    are part of the picture, where its layout has a place for them.
    """

    layout: Layout
    scenes: tuple[Scene, ...]
    marks_ms: tuple[int, ...] = ()
    captions: tuple[Caption, ...] = ()


class Composer:
    """The picture at any time; asked in order of time it paints little."""

    def __init__(
        self,
        picture: Picture,
        figures: Figures,
        lines: LineSprites,
    ) -> None:
        self._layout = picture.layout
        self.canvas = Canvas(picture.layout.wide, picture.layout.high)
        self._scenes, self._marks_ms, self._captions = picture.scenes, picture.marks_ms, picture.captions
        self._figures, self._lines = figures, lines
        self._total_ms = picture.scenes[-1].end_ms
        self._scene: Scene | None = None
        self._film: Film | None = None
        self._last: dict[str, Hashable] = {}

    def at(self, at_ms: int) -> bool:
        """Paints the picture of a time; tells whether anything changed."""
        scene, changes, layout = scene_at(self._scenes, at_ms), [], self._layout
        if scene is not self._scene:
            self._scene = scene
            self._film = self._figures.film(scene.view) if scene.view else None
            changes.append(self._words("above", layout.above, words_of.above(scene, layout)))
            changes.append(self._words("title", layout.title, words_of.title(scene, layout)))
            changes.append(self._words("aside", layout.aside, words_of.aside(scene, layout)))
            changes.append(self._words("versions", layout.versions, words_of.versions(scene, layout)))
            if self._film is None:
                changes.append(self._words("figure", layout.figure, words_of.agenda(scene, layout)))
        if self._film is not None and scene.view is not None:
            changes.append(self._figure(self._film, scene.view, at_ms))
        if layout.captions is not None:
            words = words_of.caption(_caption_words(self._captions, at_ms), layout)
            changes.append(self._words("captions", layout.captions, words))
        left_s = -(-max(0, self._total_ms - at_ms) // 1_000)
        if layout.clock is not None and self._new("left", left_s):
            changes.append(self._words("clock", layout.clock, words_of.clock(left_s, layout)))
        changes.append(self._progress(min(1.0, at_ms / self._total_ms)))
        return any(changes)

    def _new(self, part: str, key: Hashable) -> bool:
        if part in self._last and self._last[part] == key:
            return False
        self._last[part] = key
        return True

    def _words(self, part: str, box: Box, puts: tuple[Put, ...]) -> bool:
        if not self._new(part, puts):
            return False
        self.canvas.fill(box, "paper")
        self._put(puts)
        return True

    def _put(self, puts: Sequence[Put]) -> None:
        begin = end = 0
        for put in (put for put in puts if put.line.words):
            line = self._lines.of(put.line)
            wide = line.sprite.wide
            x = {
                "left": put.x, "right": put.x - wide, "middle": put.x - wide // 2,
                "after": end + put.x, "before": begin - put.x - wide,
            }[put.anchor]  # fmt: skip
            self.canvas.paste(line.sprite, x, put.y + line.top)
            begin, end = x // 2 * 2, x // 2 * 2 + wide

    def _figure(self, film: Film, view: SceneView, at_ms: int) -> bool:
        place, mirror = film.place(view, at_ms)
        if not self._new("figure", (film, place, mirror)):
            return False
        sprite = film.sprites[place].mirror() if mirror else film.sprites[place]
        box = self._layout.figure
        self.canvas.fill(box, "paper")
        self.canvas.paste(sprite, box.x + (box.wide - sprite.wide) // 2, box.y + box.high - sprite.high)
        return True

    def _progress(self, share: float) -> bool:
        """The line along the bottom, in steps of two pixels, with a mark where each block and round starts."""
        box = self._layout.progress
        done_px = int(share * box.wide) // 2 * 2
        if not self._new("progress", done_px):
            return False
        self.canvas.fill(box, "paper")
        y = box.y + (box.high - LINE_HIGH) // 4 * 2
        self.canvas.fill(Box(x=box.x, y=y, wide=box.wide, high=LINE_HIGH), "line")
        self.canvas.fill(Box(x=box.x, y=y, wide=done_px, high=LINE_HIGH), "ink")
        for mark_ms in self._marks_ms:
            x = box.x + int(mark_ms / self._total_ms * box.wide) // 2 * 2
            self.canvas.fill(Box(x=x, y=box.y, wide=2, high=box.high), "soft")
        return True


def lines_of(picture: Picture) -> list[words_of.Line]:
    """Every line of words that the pictures will need."""
    layout = picture.layout
    parts = (words_of.above, words_of.title, words_of.aside, words_of.agenda, words_of.versions)
    puts = [put for scene in picture.scenes for part in parts for put in part(scene, layout)]
    puts += [put for each in picture.captions for put in words_of.caption(" ".join(each.lines), layout)]
    return [put.line for put in puts] + words_of.clock_lines(layout)


def _caption_words(captions: Sequence[Caption], at_ms: int) -> str:
    """What is said at a time, in one line."""
    return next((" ".join(each.lines) for each in captions if each.at_ms <= at_ms < each.end_ms), "")
