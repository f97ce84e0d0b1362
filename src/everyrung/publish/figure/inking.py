"""Outlines to SVG: ink, paper halo, dashes and hatch, with strokes in relation to the picture's height."""

from dataclasses import dataclass

from everyrung.publish.figure.geometry import Flat, Sheet, path
from everyrung.publish.figure.layers import Layer
from everyrung.score.marks import line, num, tag

INK, FAR, PAPER = "#1b1b1b", "#9b9b9b", "#ffffff"  # chosen, because grey of half the light stays apart in print
FILLS = {"ink": INK, "far": FAR, "paper": PAPER}
STROKE_SHARE = 0.0105  # chosen by eye: an ink line is about a hundredth of the height
# In strokes, chosen by eye: how far paper shows round what lies in front; the bare edge; room below for the hatch.
HALO, EDGE, BELOW = 0.7, 1.5, 3.0
# Likewise the breadths of hair's edge, an eye, the rim of what is drawn through, a ghost, the floor and its hatch.
SEAM, EYE, RIM, RIM_DASH, GHOST, FLOOR, HATCH = 0.4, 0.7, 1.5, 0.8, 1.6, 0.8, 0.55
RIM_DASHES, GHOST_DASHES = (1.6, 1.2), (2.2, 2.4)  # a dash and a gap
HATCH_APART, HATCH_DEEP, HATCH_FROM = 5.0, 2.0, 0.7  # two strokes apart, one deep; the first, in parts of the gap
WIDEST_HATCH_MM = 1.8  # chosen by eye, because closer strokes run together at 2 cm
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
        return self.stroke_mm * HALO

    @property
    def edge_mm(self) -> float:
        """The bare edge, so that no stroke is cut."""
        return self.stroke_mm * EDGE

    @property
    def below_mm(self) -> float:
        """Room for the floor's hatch."""
        return self.stroke_mm * BELOW


def inked(layer: Layer, sheet: Sheet, pen: Pen) -> str:
    """A layer: the paper halo that parts it from what is behind, ink lines, then the fills that flow together."""
    drawn = [(one, path([sheet.on(flat) for flat in one.flats])) for one in layer.outlines]
    if layer.name == "through":
        return tag("g", "".join(_through(d, pen) for _, d in drawn), class_="layer through", stroke_linecap="butt")
    parts = []
    for one, d in drawn:
        if one.ink != "paper":
            parts.append(_stroked(d, PAPER, 2 * pen.halo_mm, "halo"))
    for one, d in drawn:
        if one.ink == "paper":
            parts.append(
                _stroked(d, PAPER, 2 * (pen.stroke_mm + (0.0 if layer.name == "head" else pen.halo_mm)), "halo")
            )
    parts += [_stroked(d, INK, 2 * pen.stroke_mm, "line") for one, d in drawn if one.ink == "paper"]
    for one, d in drawn:
        seam = pen.stroke_mm * SEAM if one.name == "hair" else None
        kind = f"{one.ink} {one.name}"
        parts.append(tag("path", d=d, fill=FILLS[one.ink], class_=kind, stroke=seam and INK, stroke_width=seam))
    if layer.line:
        d = path([sheet.on(flat) for flat in layer.line], closed=False)
        parts.append(tag("path", d=d, fill=PAPER, stroke=INK, stroke_width=pen.stroke_mm, class_="mark"))
    for dot in layer.dots:
        x, y = sheet.on(dot)
        parts.append(tag("circle", cx=x, cy=y, r=pen.stroke_mm * EYE, fill=INK, class_="eye"))
    return tag("g", "".join(parts), class_=f"layer {layer.name}")


def _through(d: str, pen: Pen) -> str:
    """A rim in dashes of ink on paper, which is seen on ink as well as on paper."""
    dashes = " ".join(num(pen.stroke_mm * each) for each in RIM_DASHES)
    base = _rim(d, PAPER, pen.stroke_mm * RIM)
    return base + tag(
        "path",
        d=d,
        fill="none",
        stroke=INK,
        stroke_width=pen.stroke_mm * RIM_DASH,
        stroke_dasharray=dashes,
        class_="dashes",
    )


def _rim(d: str, colour: str, wide: float) -> str:
    return tag("path", d=d, fill="none", stroke=colour, stroke_width=wide, class_="rim")


def ghost(layers: list[Layer], sheet: Sheet, pen: Pen) -> str:
    """A pose as one dashed outline: every piece dashed, then the inside cleared again."""
    paths = [path([sheet.on(flat) for flat in one.flats]) for layer in layers for one in layer.outlines]
    dashes = " ".join(num(pen.stroke_mm * each) for each in GHOST_DASHES)
    parts = [
        tag("path", d=d, fill="none", stroke=FAR, stroke_width=pen.stroke_mm * GHOST, stroke_dasharray=dashes)
        for d in paths
    ]
    parts += [tag("path", d=d, fill=PAPER) for d in paths]
    return tag("g", "".join(parts), class_="ghost", stroke_linecap="butt")


def floor_line(corners: list[Flat], pen: Pen) -> str:
    """The floor seen level: a line; from above: a patch. Short hatch below the edges nearest to the eye."""
    sunk = [(x, y + pen.stroke_mm / 2) for x, y in corners]
    parts = [tag("path", d=path(sunk), fill=PAPER, stroke=INK, stroke_width=pen.stroke_mm * FLOOR)]
    lowest = max(range(len(sunk)), key=lambda at: sunk[at][1])
    ends = (
        [sunk] if len(sunk) == 2 else [[sunk[lowest - 1], sunk[lowest]], [sunk[lowest], sunk[lowest + 1 - len(sunk)]]]
    )
    for start, end in ends:
        parts += _hatch(min(start, end), max(start, end), pen)
    return tag("g", "".join(parts), class_="floor")


def _hatch(left: Flat, right: Flat, pen: Pen) -> list[str]:
    deep = pen.stroke_mm * HATCH_DEEP
    count = int((right[0] - left[0]) / max(pen.stroke_mm * HATCH_APART, WIDEST_HATCH_MM))
    found = []
    for at in range(count):
        share = (at + HATCH_FROM) / count
        x, y = left[0] + share * (right[0] - left[0]), left[1] + share * (right[1] - left[1])
        found.append(line(x, y, x - deep, y + deep, stroke=INK, stroke_width=pen.stroke_mm * HATCH))
    return found


def arrow(left: float, y: float, wide: float, pen: Pen) -> str:
    """A short arrow to the right in the gap between two poses."""
    start, tip, head = left + 0.18 * wide, left + 0.82 * wide, 0.16 * wide
    d = path([(start, y), (tip, y)], closed=False) + path(
        [(tip - head, y - head), (tip, y), (tip - head, y + head)], closed=False
    )
    return tag("path", d=d, fill="none", stroke=INK, stroke_width=pen.stroke_mm, class_="arrow")


def _stroked(d: str, colour: str, wide: float, kind: str) -> str:
    return tag("path", d=d, fill=colour, stroke=colour, stroke_width=wide, class_=kind)
