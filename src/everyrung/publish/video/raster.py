"""Pictures as a video has them: planes of luma and chroma, made from how much ink covers each pixel.

Words and pictures set by typst, as arrays.
"""

import json
import re
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

import av
import numpy as np
import typst
from numpy.typing import NDArray

from everyrung.publish.pages import font_folder

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

    def mirror(self) -> "Sprite":
        """As in a mirror: left for right."""
        return Sprite(luma=self.luma[:, ::-1], blue=self.blue[:, ::-1], red=self.red[:, ::-1])


def ink_planes(cover: Grey, colour: str) -> Sprite:
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
    shades = np.rint(yuv("paper") + share * (yuv(colour) - yuv("paper"))).astype(np.uint8)
    return shades[:, 0], shades[:, 1], shades[:, 2]


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


# One page for each item and one pixel for each point. All lines of a size are equally high, so baselines agree.
_PAGE = "#set page(width: auto, height: auto, margin: 0pt, fill: white)\n#let items = json(bytes(sys.inputs.items))\n"
_EACH = "#for (at, item) in items.enumerate() { if at > 0 { pagebreak() }\n"
WORDS = (
    _PAGE
    + '#set text(font: "Hanken Grotesk", top-edge: 1em, bottom-edge: -0.3em)\n'
    + '#set text(number-width: "tabular", hyphenate: false)\n'
    + _EACH
    + "text(size: item.size * 1pt, weight: item.weight, item.words) }"
)
PICTURES = _PAGE + _EACH + 'image(bytes(item), format: "svg") }'
OWN_FONT = 0x250  # the first sign beyond Latin Extended-B; chosen, because the family has few signs further on


def rasters(source: str, items: list[Any]) -> list[Grey]:
    """Each item of a source of this module as a grey array (row, column): 255 is paper, 0 is ink."""
    if not items:
        return []
    texts = json.dumps(items, ensure_ascii=False)
    compiler = typst.Compiler(
        source.encode(), font_paths=_fonts(any(ord(sign) >= OWN_FONT for sign in texts)), sys_inputs={"items": texts}
    )
    png = compiler.compile(format="png", ppi=72)
    pages = [png] if isinstance(png, bytes) else list(png or ())
    return [_grey(page) for page in pages]


@cache
def _fonts(machine: bool) -> Any:
    """Our own family, and the machine's fonts for signs that it lacks."""
    return typst.Fonts(include_system_fonts=machine, font_paths=[str(font_folder())])


def _grey(png: bytes) -> Grey:
    decoder = av.codec.CodecContext.create("png", "r")
    frames = [*decoder.decode(av.Packet(png)), *decoder.decode(None)]
    return np.ascontiguousarray(frames[0].to_ndarray()[:, :, 1])  # everything is grey: green stands for all three
