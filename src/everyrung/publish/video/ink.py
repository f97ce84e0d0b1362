"""Pictures as a video has them: planes of luma and chroma, made from how much ink covers each pixel."""

import re
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np
from numpy.typing import NDArray

Grey = NDArray[np.uint8]  # (row, column)
RED, BLUE = 0.2126, 0.0722  # ITU-R BT.709, the weights of red and blue in luma
DARKEST = 27  # the grey of the figures' ink, #1b1b1b in publish/figure/draw.py


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sprite:
    """A picture of even height and breadth: luma (row, column), chroma (row / 2, column / 2); BT.709, 16 to 235."""

    luma: Grey
    blue: Grey
    red: Grey

    @property
    def high(self) -> int:
        return int(self.luma.shape[0])

    @property
    def wide(self) -> int:
        return int(self.luma.shape[1])

    def turned(self) -> "Sprite":
        """As in a mirror: left for right."""
        return Sprite(luma=self.luma[:, ::-1], blue=self.blue[:, ::-1], red=self.red[:, ::-1])


def inked(cover: Grey, colour: str) -> Sprite:
    """A sprite of a token's colour on paper, where `cover` is 255 for all ink; padded to even sides with paper."""
    high, wide = cover.shape
    even = np.pad(cover, ((0, high % 2), (0, wide % 2)))
    quarter = even.reshape(even.shape[0] // 2, 2, even.shape[1] // 2, 2).mean(axis=(1, 3)).round().astype(np.uint8)
    luma, blue, red = _shades(colour)
    return Sprite(luma=luma[even], blue=blue[quarter], red=red[quarter])


def cover_of(grey: Grey, darkest: int = 0) -> Grey:
    """How much ink makes this grey on white, where `darkest` is all ink."""
    span = 255 - darkest
    return np.minimum((255 - grey.astype(np.uint16)) * 255 // span, 255).astype(np.uint8)


@cache
def _shades(colour: str) -> tuple[Grey, Grey, Grey]:
    """For each cover from 0 to 255 luma and chroma between paper and the colour."""
    share = np.arange(256)[:, np.newaxis] / 255
    mixed = np.rint(yuv("paper") + share * (yuv(colour) - yuv("paper"))).astype(np.uint8)
    return mixed[:, 0], mixed[:, 1], mixed[:, 2]


@cache
def yuv(colour: str) -> NDArray[np.float64]:
    """Luma and both chromas of a colour of templates/tokens.css, video range."""
    red, green, blue = (int(tokens()[colour][at : at + 2], 16) / 255 for at in (1, 3, 5))
    luma = RED * red + (1 - RED - BLUE) * green + BLUE * blue
    chroma = (blue - luma) / (2 * (1 - BLUE)), (red - luma) / (2 * (1 - RED))
    return np.array([16 + 219 * luma, 128 + 224 * chroma[0], 128 + 224 * chroma[1]])


@cache
def tokens() -> dict[str, str]:
    """The publications' colours in light, by name: '#rrggbb'."""
    css = (files("everyrung.publish") / "templates" / "tokens.css").read_text(encoding="utf-8")
    return dict(re.findall(r"--(\w+): (#[0-9a-f]{6});", css.split("}")[0]))
