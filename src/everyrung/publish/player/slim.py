"""Figures for a page that is sent to phones: the same picture in an eighth of the text.

What is drawn stays: only corners closer to the line than a phone can show are left out, and shapes that are drawn
alike one after another become one path.
"""

import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator, Sequence
from itertools import groupby, pairwise
from math import hypot

GRID = 20  # steps to a mm, chosen, because in the largest picture of the page a step is less than half a CSS pixel
OFF_MM = (
    0.07  # chosen, because on a phone that is a third of a CSS pixel, and less than two thirds in the largest picture
)
SLENDER = 0.25  # of an outline's own breadth at most; chosen, because a quarter leaves a stroke a stroke
_PIECE = re.compile(r"M([^MZ]+)(Z?)")
_LENGTHS = ("stroke-width", "stroke-dasharray")
Flat = tuple[float, float]
Style = tuple[tuple[str, str], ...]
StyleAndPath = tuple[Style, str]


def symbol(svg: str, number: int) -> str:
    """A figure as <symbol id="figure-N">, in steps of the grid; its name stands where it is shown."""
    root = ET.fromstring(svg)
    box = " ".join(_steps(each) for each in root.attrib["viewBox"].split())
    inner = "".join(_group(group, {}) for group in root if not group.tag.endswith("title"))
    return (
        f'<symbol id="figure-{number}" viewBox="{box}"><g stroke-linejoin="round" stroke-linecap="round">'
        f"{inner}</g></symbol>"
    )


def _group(group: ET.Element, outer: dict[str, str]) -> str:
    """A group's groups and shapes in their order; shapes drawn alike are put together."""
    caps = outer | {name: value for name, value in group.attrib.items() if name == "stroke-linecap"}
    shapes: list[StyleAndPath] = []
    parts: list[str] = []
    for each in group:
        if each.tag.endswith("}g"):
            parts += [_svg_paths(shapes), _group(each, caps)]
            shapes = []
        else:
            shapes.append((_style(each, caps), _d(each)))
    return "".join([*parts, _svg_paths(shapes)])


def _style(shape: ET.Element, outer: dict[str, str]) -> Style:
    style = outer | {name: value for name, value in shape.attrib.items() if name not in ("d", "class", "cx", "cy", "r")}
    return tuple(
        (name, " ".join(map(_steps, value.split())) if name in _LENGTHS else value)
        for name, value in sorted(style.items())
    )


def _svg_paths(shapes: Sequence[StyleAndPath]) -> str:
    """Shapes of one style as one path; a stroke that the same shape is filled over after shares its path."""
    paths = [(style, "".join(d for _, d in each)) for style, each in groupby(shapes, key=lambda shape: shape[0])]
    parts: list[str] = []
    at = 0
    while at < len(paths):
        style, d = paths[at]
        if at + 1 < len(paths) and paths[at + 1][1] == d and "stroke" not in dict(paths[at + 1][0]):
            style = tuple((dict(style) | dict(paths[at + 1][0]) | {"paint-order": "stroke"}).items())
            at += 1
        attributes = " ".join(f'{name}="{value}"' for name, value in style)
        parts.append(f'<path {attributes} d="{d}"/>')
        at += 1
    return "".join(parts)


def _d(shape: ET.Element) -> str:
    """The shape's outline in whole steps, each point from the one before."""
    if shape.tag.endswith("circle"):
        x, y, r = (float(shape.attrib[name]) * GRID for name in ("cx", "cy", "r"))
        return f"M{x - r:.0f} {y:.0f}a{r:.1f} {r:.1f} 0 1 0 {2 * r:.1f} 0a{r:.1f} {r:.1f} 0 1 0 {-2 * r:.1f} 0z"
    return "".join(_piece(piece[1], is_ring=bool(piece[2])) for piece in _PIECE.finditer(shape.attrib["d"]))


def _piece(points: str, *, is_ring: bool) -> str:
    numbers = [[float(number) for number in each.split()] for each in points.split("L")]
    flats = [(x, y) for x, y in numbers]
    grid = [(round(x * GRID), round(y * GRID)) for x, y in (_ring(flats) if is_ring else _plain(flats, OFF_MM))]
    steps = list(_between(grid))
    return f"M{grid[0][0]} {grid[0][1]}" + (f"l{_close(steps)}" if steps else "h0") + ("z" if is_ring else "")


def _ring(flats: Sequence[Flat]) -> list[Flat]:
    """A closed outline is thinned in two halves, because its ends meet; a slender one less, so that it isn't lost."""
    half = len(flats) // 2
    if half < 2:
        return list(flats)
    sides = list(pairwise([*flats, flats[0]]))
    area = sum(x * to_y - to_x * y for (x, y), (to_x, to_y) in sides) / 2
    off_mm = min(OFF_MM, SLENDER * 2 * abs(area) / sum(hypot(to_x - x, to_y - y) for (x, y), (to_x, to_y) in sides))
    if area < 0:
        flats = flats[::-1]  # all one way round, because two that overlap the other way round would make a hole
    return [*_plain(flats[: half + 1], off_mm), *_plain([*flats[half:], flats[0]], off_mm)[1:-1]]


def _plain(flats: Sequence[Flat], off_mm: float) -> list[Flat]:
    """The line without corners that lie within `off_mm` of it (Douglas and Peucker 1973)."""
    if len(flats) < 3:
        return list(flats)
    far, at = _farthest(flats)
    if far <= off_mm:
        return [flats[0], flats[-1]]
    return [*_plain(flats[: at + 1], off_mm), *_plain(flats[at:], off_mm)[1:]]


def _farthest(flats: Sequence[Flat]) -> tuple[float, int]:
    """How far the farthest corner is from the straight line between the ends, mm, and which one it is."""
    (from_x, from_y), (to_x, to_y) = flats[0], flats[-1]
    along_x, along_y = to_x - from_x, to_y - from_y
    length = hypot(along_x, along_y)
    if length:
        offs = [abs(along_x * (y - from_y) - along_y * (x - from_x)) / length for x, y in flats[1:-1]]
    else:
        offs = [hypot(x - from_x, y - from_y) for x, y in flats[1:-1]]
    far = max(offs)
    return far, len(offs) - offs[::-1].index(far)


def _between(grid: Sequence[tuple[int, int]]) -> Iterator[int]:
    for (x, y), (to_x, to_y) in pairwise(grid):
        if (x, y) != (to_x, to_y):
            yield to_x - x
            yield to_y - y


def _close(numbers: Sequence[int]) -> str:
    """Numbers with a blank only where a sign doesn't part them."""
    return "".join(str(each) if each < 0 or not place else f" {each}" for place, each in enumerate(numbers))


def _steps(mm: str) -> str:
    return f"{float(mm) * GRID:.4g}"
