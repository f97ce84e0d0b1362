"""A figure, or the poses of one repetition side by side, as an SVG picture that says what it shows.

Outlines become ink, paper halo, dashes and hatch, with strokes in relation to the picture.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from everyrung.publish.figure.geometry import SIDE, Box, Flat, Sheet, View, box_round, path
from everyrung.publish.figure.layers import Layer, body_layers, in_drawing_order, layers_of
from everyrung.publish.figure.props import floor_corners
from everyrung.score.draw import FONTS
from everyrung.score.marks import line, num, tag, text, text_width, words
from everyrung.terms.errors import Invalid
from everyrung.terms.figure import Prop, Skeleton

INK, FAR, PAPER = "#1b1b1b", "#949494", "#ffffff"  # the lightest grey that is 3 to 1 on white (WCAG 2.2, 1.4.11)
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


def ink(layer: Layer, sheet: Sheet, pen: Pen) -> str:
    """A layer: the paper halo that parts it from what is behind, ink lines, then the fills that flow together."""
    paths = [(one, path([sheet.on(flat) for flat in one.flats])) for one in layer.outlines]
    if layer.name == "through":
        return tag("g", "".join(_through(d, pen) for _, d in paths), class_="layer through", stroke_linecap="butt")
    parts = []
    for one, d in paths:
        if one.ink == "rim":
            return tag("g", _clear(d, one.name, pen), class_=f"layer {layer.name}")
        if one.ink != "paper":
            parts.append(_stroke(d, PAPER, 2 * pen.halo_mm, "halo"))
    for one, d in paths:
        if one.ink == "paper":
            parts.append(
                _stroke(d, PAPER, 2 * (pen.stroke_mm + (0.0 if layer.name == "head" else pen.halo_mm)), "halo")
            )
    parts += [_stroke(d, INK, 2 * pen.stroke_mm, "line") for one, d in paths if one.ink == "paper"]
    for one, d in paths:
        seam = pen.stroke_mm * SEAM if one.name == "hair" else None
        kind = f"{one.ink} {one.name}"
        parts.append(tag("path", d=d, fill=FILLS[one.ink], class_=kind, stroke=seam and INK, stroke_width=seam))
    if layer.line:
        d = path([sheet.on(flat) for flat in layer.line], is_ring=False)
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


def _clear(d: str, name: str, pen: Pen) -> str:
    """A line round what is seen through, and bare paper on both sides of the line."""
    line = tag("path", d=d, fill="none", stroke=INK, stroke_width=pen.stroke_mm, class_=f"rim {name}")
    return _rim(d, PAPER, pen.stroke_mm + 2 * pen.halo_mm) + line


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
    result = []
    for at in range(count):
        share = (at + HATCH_FROM) / count
        x, y = left[0] + share * (right[0] - left[0]), left[1] + share * (right[1] - left[1])
        result.append(line(x, y, x - deep, y + deep, stroke=INK, stroke_width=pen.stroke_mm * HATCH))
    return result


def arrow(left: float, y: float, wide: float, pen: Pen) -> str:
    """A short arrow to the right in the gap between two poses."""
    start, tip, head = left + 0.18 * wide, left + 0.82 * wide, 0.16 * wide
    d = path([(start, y), (tip, y)], is_ring=False) + path(
        [(tip - head, y - head), (tip, y), (tip - head, y + head)], is_ring=False
    )
    return tag("path", d=d, fill="none", stroke=INK, stroke_width=pen.stroke_mm, class_="arrow")


def _stroke(d: str, colour: str, wide: float, kind: str) -> str:
    return tag("path", d=d, fill=colour, stroke=colour, stroke_width=wide, class_=kind)


MIN_MM, MAX_MM = 8.0, 1000.0  # chosen, because smaller is a blot and larger than a poster
GAP_SHARE = 0.16  # chosen, because an arrow needs about a head's breadth at any size
LABEL_SHARE = 0.10  # chosen, because words of a tenth of the height are read with the figure
MAX_POSES = 6  # chosen, because more poses of one repetition are too small to read side by side


@dataclass(frozen=True, slots=True, kw_only=True)
class Pose:
    """One pose with what is around it. `start` is drawn behind it as a dashed ghost; `label` stands below."""

    body: Skeleton
    props: tuple[Prop, ...] = ()
    start: Skeleton | None = None
    label: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """How the picture is made: its height on paper, from where one looks, and what a listener is told."""

    title: str
    description: str = ""
    view: View = SIDE
    height_mm: float = 40.0
    max_width_mm: float = 170.0

    def __post_init__(self) -> None:
        for field, value in (("figure height", self.height_mm), ("figure width", self.max_width_mm)):
            if not MIN_MM <= value <= MAX_MM:
                raise Invalid(field, f"{MIN_MM:g} to {MAX_MM:g} mm", value)


def figure_svg(pose: Pose, picture: Picture) -> str:
    """One pose as SVG."""
    return sequence_svg([pose], picture)


def sequence_svg(poses: Sequence[Pose], picture: Picture) -> str:
    """Poses of a repetition from left to right with arrows between, to one scale. Raises Invalid for none or many."""
    if not 1 <= len(poses) <= MAX_POSES:
        raise Invalid("poses", f"1 to {MAX_POSES} poses", len(poses))
    views = [_pose_view(pose, picture.view) for pose in poses]
    label_mm = picture.height_mm * LABEL_SHARE * 1.5 if any(pose.label for pose in poses) else 0.0
    gap_mm = picture.height_mm * GAP_SHARE
    pen = Pen(height_mm=picture.height_mm)
    scale = _scale(views, picture, label_mm, gap_mm, pen)
    size_mm = _label_size(views, scale, picture)
    parts, left = [], pen.edge_mm
    top = min(one.box.top for one in views)
    bottom = max(one.box.bottom for one in views)
    base = pen.edge_mm + (bottom - top) * scale
    for at, one in enumerate(views):
        if at:
            parts.append(arrow(left, base - 0.45 * (bottom - top) * scale, gap_mm, pen))
            left += gap_mm
        sheet = Sheet(mm_per_m=scale, x_mm=left - one.box.left * scale, y_mm=pen.edge_mm - top * scale)
        parts.append(_draw_pose(one, sheet, pen))
        width = one.box.width * scale
        if one.pose.label:
            middle, y = left + width / 2, base + pen.below_mm + size_mm
            parts.append(text(middle, y, one.pose.label, size_mm, text_anchor="middle", font_family=FONTS))
        left += width
    return _svg(parts, picture, left + pen.edge_mm, base + pen.below_mm + label_mm + pen.edge_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class _PoseView:
    """A pose as outlines in m, and the box that holds them all."""

    pose: Pose
    layers: list[Layer]
    start: list[Layer]
    floor: list[Flat]
    box: Box


def _pose_view(pose: Pose, view: View) -> _PoseView:
    layers = layers_of(pose.body, pose.props, view)
    start = in_drawing_order(body_layers(pose.start, view)) if pose.start else []
    flats = [flat for layer in layers + start for one in layer.outlines for flat in one.flats]
    flats += [flat for layer in layers for flat in layer.line or ()]
    floor = floor_corners(pose.body, pose.props, view)
    return _PoseView(pose=pose, layers=layers, start=start, floor=floor, box=box_round(flats + floor))


def _scale(views: list[_PoseView], picture: Picture, label_mm: float, gap_mm: float, pen: Pen) -> float:
    """Mm of paper for a metre: as large as height and width allow."""
    tall = max(one.box.bottom for one in views) - min(one.box.top for one in views)
    wide = sum(one.box.width for one in views)
    free_high = picture.height_mm - 2 * pen.edge_mm - pen.below_mm - label_mm
    free_wide = picture.max_width_mm - 2 * pen.edge_mm - gap_mm * (len(views) - 1)
    scale = min(free_high / tall, free_wide / wide)
    if scale <= 0:
        raise Invalid("figure width", "room for the poses and their arrows", picture.max_width_mm)
    return scale


def _label_size(views: list[_PoseView], scale: float, picture: Picture) -> float:
    """One size of words, mm, in which every label stays under its own pose."""
    with_label = [one for one in views if one.pose.label]
    fits = [one.box.width * scale / text_width(one.pose.label, 1.0) for one in with_label]
    return min([picture.height_mm * LABEL_SHARE, *fits])


def _draw_pose(one: _PoseView, sheet: Sheet, pen: Pen) -> str:
    """A floor patch, the ghost, then everything from far to near; a level floor line last, for all stands on it."""
    floor = [floor_line([sheet.on(flat) for flat in one.floor], pen)] if one.floor else []
    layers = [ink(layer, sheet, pen) for layer in one.layers]
    if one.start:
        layers.insert(0, ghost(one.start, sheet, pen))
    return tag("g", "".join(layers + floor if len(one.floor) == 2 else floor + layers), class_="pose")


def _svg(parts: list[str], picture: Picture, width_mm: float, height_mm: float) -> str:
    texts = tag("title", words(picture.title)) + (
        tag("desc", words(picture.description)) if picture.description else ""
    )
    return tag(
        "svg",
        texts + "".join(parts),
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {num(width_mm)} {num(height_mm)}",
        width=f"{num(width_mm)}mm",
        height=f"{num(height_mm)}mm",
        role="img",
        aria_label=picture.title,
        stroke_linejoin="round",
        stroke_linecap="round",
    )
