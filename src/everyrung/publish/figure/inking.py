"""Outlines to SVG: ink, paper halo, dashes and hatch, with strokes in relation to the picture's height."""

from dataclasses import dataclass

from everyrung.publish.figure.layers import Layer
from everyrung.publish.figure.projection import Flat, Sheet
from everyrung.publish.figure.strokes import path
from everyrung.publish.svg import line, num, tag

INK, FAR, PAPER = "#1b1b1b", "#9b9b9b", "#ffffff"  # chosen, because grey of half the light stays apart in print
FILLS = {"ink": INK, "far": FAR, "paper": PAPER}
STROKE_SHARE = 0.0105  # chosen by eye: an ink line is about a hundredth of the height
FINEST_MM = 0.25  # chosen, because office printers keep a line of a hundredth of an inch


@dataclass(frozen=True, slots=True, kw_only=True)
class Pen:
    """Breadths in mm for a picture of this height."""

    height_mm: float

    @property
    def stroke_mm(self) -> float:
        return max(FINEST_MM, self.height_mm * STROKE_SHARE)

    @property
    def halo_mm(self) -> float:
        """How far paper shows round what lies in front."""
        return self.stroke_mm * 0.9

    @property
    def edge_mm(self) -> float:
        """The bare edge, so that no stroke is cut."""
        return self.stroke_mm * 1.5

    @property
    def below_mm(self) -> float:
        """Room for the floor's hatch."""
        return self.stroke_mm * 3


def inked(layer: Layer, sheet: Sheet, pen: Pen) -> str:
    """A layer: the paper halo that parts it from what is behind, ink lines, then the fills that flow together."""
    drawn = [(one, path([sheet.on(flat) for flat in one.flats])) for one in layer.outlines]
    parts = []
    for one, d in drawn:
        if one.ink != "paper":
            parts.append(_stroked(d, PAPER, 2 * pen.halo_mm, "halo"))
    for one, d in drawn:
        if one.ink == "paper":
            parts.append(_stroked(d, PAPER, 2 * (pen.halo_mm + pen.stroke_mm / 2), "halo"))
    parts += [_stroked(d, INK, 2 * pen.stroke_mm, "line") for one, d in drawn if one.ink == "paper"]
    parts += [tag("path", d=d, fill=FILLS[one.ink], class_=f"{one.ink} {one.name}") for one, d in drawn]
    if layer.line:
        d = path([sheet.on(flat) for flat in layer.line], closed=False)
        parts.append(tag("path", d=d, fill=PAPER, stroke=INK, stroke_width=pen.stroke_mm, class_="mark"))
    return tag("g", "".join(parts), class_=f"layer {layer.name}")


def ghost(layers: list[Layer], sheet: Sheet, pen: Pen) -> str:
    """A pose as one dashed outline: every piece dashed, then the inside cleared again."""
    paths = [path([sheet.on(flat) for flat in one.flats]) for layer in layers for one in layer.outlines]
    dashes = f"{num(pen.stroke_mm * 2.2)} {num(pen.stroke_mm * 2.4)}"
    parts = [
        tag("path", d=d, fill="none", stroke=FAR, stroke_width=pen.stroke_mm * 1.6, stroke_dasharray=dashes)
        for d in paths
    ]
    parts += [tag("path", d=d, fill=PAPER) for d in paths]
    return tag("g", "".join(parts), class_="ghost", stroke_linecap="butt")


def floor_line(ends: list[Flat], pen: Pen) -> str:
    """A line with short hatch below."""
    (left, y), (right, _) = ends
    y += pen.stroke_mm / 2
    step, deep = pen.stroke_mm * 5, pen.stroke_mm * 2
    count = int((right - left - deep) / step)
    parts = [line(left, y, right, y, stroke=INK, stroke_width=pen.stroke_mm)]
    for at in range(count + 1):
        x = left + deep + at * step
        parts.append(line(x, y, x - deep, y + deep, stroke=INK, stroke_width=pen.stroke_mm * 0.55))
    return tag("g", "".join(parts), class_="floor")


def arrow(left: float, y: float, wide: float, pen: Pen) -> str:
    """A short arrow to the right in the gap between two poses."""
    start, tip, head = left + 0.18 * wide, left + 0.82 * wide, 0.16 * wide
    d = path([(start, y), (tip, y)], closed=False) + path(
        [(tip - head, y - head), (tip, y), (tip - head, y + head)], closed=False
    )
    return tag("path", d=d, fill="none", stroke=INK, stroke_width=pen.stroke_mm, class_="arrow")


def _stroked(d: str, colour: str, wide: float, kind: str) -> str:
    return tag("path", d=d, fill=colour, stroke=colour, stroke_width=wide, class_=kind)
