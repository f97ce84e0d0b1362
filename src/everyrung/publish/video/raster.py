"""Words and pictures set by typst, as arrays."""

import json
from functools import cache
from typing import Any

import av
import numpy as np
import typst

from everyrung.publish.pages import font_folder
from everyrung.publish.video.ink import Grey

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
    made = compiler.compile(format="png", ppi=72)
    pages = [made] if isinstance(made, bytes) else list(made or ())
    return [_grey(page) for page in pages]


@cache
def _fonts(machine: bool) -> Any:
    """Our own family, and the machine's fonts for signs that it lacks."""
    return typst.Fonts(include_system_fonts=machine, font_paths=[str(font_folder())])


def _grey(png: bytes) -> Grey:
    decoder = av.codec.CodecContext.create("png", "r")
    frames = [*decoder.decode(av.Packet(png)), *decoder.decode(None)]
    return np.ascontiguousarray(frames[0].to_ndarray()[:, :, 1])  # everything is grey: green stands for all three
