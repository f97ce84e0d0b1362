"""A standing body from the front and from the back, with the parts that give out first shaded and numbered.

The names are those of effort/words.py, in a participant's own words; a part is a thick line with round ends.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from everyrung.publish.pages import environment

WIDTH, HEIGHT, MIDDLE = 120.0, 240.0, 60.0  # of one body, in the drawing's own units
INK = 1.4  # of the outline
FAINTEST = 0.18  # how much of the ink a part has that hardly counts; chosen, so that it can still be seen
FEWEST = 0.01
Point = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Stroke:
    """From one point to another; `twice`: on the other side of the middle as well."""

    start: Point
    end: Point
    width: float
    twice: bool = True


def _stroke(x0: float, y0: float, x1: float, y1: float, width: float, *, twice: bool = True) -> Stroke:
    return Stroke(start=(x0, y0), end=(x1, y1), width=width, twice=twice)


BODY = (
    _stroke(60, 18, 60, 24, 21, twice=False),
    _stroke(60, 30, 60, 44, 11, twice=False),
    _stroke(46, 49, 60, 50, 16),
    _stroke(52, 56, 55, 88, 20),
    _stroke(55, 84, 53, 112, 17),
    _stroke(41, 51, 34, 84, 13),
    _stroke(34, 84, 28, 113, 10),
    _stroke(28, 115, 26.5, 125, 9),
    _stroke(51, 116, 49, 166, 20),
    _stroke(49, 168, 50, 210, 14),
    _stroke(50, 214, 45, 224, 9),
)
FRONT: Mapping[str, Stroke] = {
    "front of the thigh": _stroke(49.5, 130, 48.8, 158, 12),
    "inner thigh": _stroke(57, 124, 55, 146, 5),
    "front of the hip": _stroke(51.5, 113, 53.5, 118, 9),
    "side of the hip": _stroke(43.5, 110, 42.5, 120, 5),
    "front of the trunk": _stroke(60, 76, 60, 104, 13, twice=False),
    "waist": _stroke(48, 84, 48.5, 102, 6),
    "chest": _stroke(51, 60, 56, 61, 12),
    "front of the shoulder": _stroke(42.5, 51, 42, 55, 9),
    "side of the shoulder": _stroke(37, 52, 36, 60, 5),
    "front of the upper arm": _stroke(37.5, 65, 35, 79, 8),
    "grip": _stroke(32, 91, 29, 108, 7),
}
BACK: Mapping[str, Stroke] = {
    "buttocks": _stroke(51, 115, 50.5, 120, 15),
    "back of the thigh": _stroke(49.5, 136, 49, 158, 12),
    "calf": _stroke(49, 176, 49.6, 191, 10),
    "back": _stroke(54.5, 58, 55.5, 102, 9),
    "back of the shoulder": _stroke(42.5, 51, 42, 56, 9),
    "back of the upper arm": _stroke(37.5, 62, 35, 79, 8),
}
COVERS = {"buttocks and back of the thigh": ("buttocks", "back of the thigh")}  # a part of two regions


def outline_svg(shares: Iterable[tuple[str, float]], title: str) -> str:
    """Both views; `shares` are parts of the body with what counts for them, 0 to 1, the greatest three numbered.

    Raises LookupError for a part that is on neither view.
    """
    ranks = sorted(((name, part) for name, part in shares if part >= FEWEST), key=lambda each: -each[1])
    shades: dict[str, float] = {}
    for name, part in ranks:
        for region in regions(name):
            shades[region] = min(1.0, shades.get(region, 0.0) + part)
    numbers = {
        region: place for place, (name, _) in reversed(list(enumerate(ranks[:3], 1))) for region in regions(name)[:1]
    }
    views = [
        {"name": name, "x": at, "flesh": list(_lines(BODY)), "parts": list(_parts(strokes, shades, numbers))}
        for name, at, strokes in (("front", 0.0, FRONT), ("back", WIDTH, BACK))
    ]
    template = environment("everyrung.publish").get_template("outline.svg")
    text = "; ".join(f"{name} {part:.0%}" for name, part in ranks) or "nothing"
    return template.render(title=title, said=text, views=views, width=2 * WIDTH, height=HEIGHT, ink=INK)


def regions(name: str) -> tuple[str, ...]:
    """Where a part is drawn. Raises LookupError."""
    result = COVERS.get(name, (name,))
    for each in result:
        if each not in FRONT and each not in BACK:
            raise LookupError(f"no such part of the outline: {each}")
    return result


def _parts(
    strokes: Mapping[str, Stroke], shades: Mapping[str, float], numbers: Mapping[str, int]
) -> Iterator[dict[str, object]]:
    for name, stroke in strokes.items():
        if name in shades:
            shade = FAINTEST + (1 - FAINTEST) * shades[name]
            yield {
                "lines": list(_lines((stroke,))),
                "shade": round(shade, 3),
                "number": numbers.get(name),
                "at": _middle(stroke),
            }


def _lines(strokes: Iterable[Stroke]) -> Iterator[dict[str, float]]:
    for one in strokes:
        (x0, y0), (x1, y1) = one.start, one.end
        yield {"x0": x0, "y0": y0, "x1": x1, "y1": y1, "width": one.width}
        if one.twice:
            yield {"x0": 2 * MIDDLE - x0, "y0": y0, "x1": 2 * MIDDLE - x1, "y1": y1, "width": one.width}


def _middle(stroke: Stroke) -> Point:
    (x0, y0), (x1, y1) = stroke.start, stroke.end
    return ((x0 + x1) / 2, (y0 + y1) / 2)
