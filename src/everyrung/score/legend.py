"""The key under the score: how to read its marks, and the names that had no room above."""

from collections.abc import Callable

from everyrung.score.layout import SMALL, Paper
from everyrung.score.marks import GRADES, change_fill, cut, grade_fill, group, num, tag, text, text_width

_ROW = 17.0
_SAMPLE = 24.0


def draw_key(paper: Paper, top: float, overflow: list[str], name: str, *, full: bool) -> tuple[list[str], float]:
    """What the key is drawn of, and the height it takes."""
    parts: list[str] = []
    y = top + 6
    if overflow:
        y = _names(parts, paper, y, overflow)
    if full:
        y = _marks(parts, paper, y, name)
    return parts, y - top + 4


def _names(parts: list[str], paper: Paper, y: float, overflow: list[str]) -> float:
    """Columns of what could not be written in its place."""
    columns = max(1, int(paper.width // 350))
    width = paper.width / columns
    for place, label in enumerate(overflow):
        x = 2 + width * (place % columns)
        parts.append(text(x, y + 9, cut(label, width - 10, SMALL), SMALL))
        if place % columns == columns - 1 or place == len(overflow) - 1:
            y += 13
    return y + 6


def _marks(parts: list[str], paper: Paper, y: float, name: str) -> float:
    x = 2.0
    for sample, width, label in _samples(name):
        room = width + 5 + text_width(label, SMALL)
        if x > 2 and x + room > paper.width - 2:
            x, y = 2.0, y + _ROW
        parts.append(sample(x, y + 6))
        parts.append(text(x + width + 5, y + 9.5, label, SMALL))
        x += room + 12
    return y + _ROW


Sample = Callable[[float, float], str]


def _samples(name: str) -> tuple[tuple[Sample, float, str], ...]:
    return (
        (_teeth(name), _SAMPLE, "a tooth a repetition, flat where it pauses"),
        (_hold(name), _SAMPLE, "held still"),
        (_grades(name), 52.0, "effort, grade 1 to 5"),
        (_path("M0 -5C7 -5 7 5 14 5M10.5 2.5L14 5L10.5 7.5", "1"), 14.0, "side switch"),
        (_dots, 16.0, "count-in"),
        (_dash_marks, _SAMPLE, "one side owed, or done later"),
        (_ladder, 9.0, "rung on its ladder"),
        (_path("M0 -5L18 5", "2.2"), 18.0, "down or up"),
        (_box(change_fill(name)), 14.0, "kit change"),
        (_path("M0 -2.4H22M0 2.4H22", "2.2", "6 1.6 3.4 1.6 8 1.6"), 22.0, "announcement"),
        (_path("M0 0H22", "2.2", "3.4 1.4"), 22.0, "explaining"),
        (_rest(line=False), 20.0, "rest"),
        (_rest(line=True), 20.0, "rest between rounds"),
    )


def _path(d: str, weight: str, dashes: str | None = None) -> Sample:
    def draw(x: float, y: float) -> str:
        style = {"stroke": "currentColor", "stroke_width": weight, "stroke_dasharray": dashes, "fill": "none"}
        return tag("path", d=d, transform=f"translate({num(x)} {num(y)})", **style)

    return draw


def _teeth(name: str) -> Sample:
    def draw(x: float, y: float) -> str:
        shape = tag("path", d="M0 6L6 -6L12 6ZM12 6L17 -6H20L24 6Z", fill=grade_fill(name, 3), stroke="currentColor")
        hold = tag("path", d="M17 -6H20", stroke="currentColor", stroke_width="2.6")
        return tag("g", shape + hold, transform=f"translate({num(x)} {num(y)})", stroke_width="0.8")

    return draw


def _hold(name: str) -> Sample:
    def draw(x: float, y: float) -> str:
        shape = tag("rect", width="24", height="10", y="-4", fill=grade_fill(name, 2), stroke="currentColor")
        hold = tag("path", d="M0 -4H24", stroke="currentColor", stroke_width="2.6")
        return tag("g", shape + hold, transform=f"translate({num(x)} {num(y)})", stroke_width="0.8")

    return draw


def _grades(name: str) -> Sample:
    def draw(x: float, y: float) -> str:
        parts = []
        for grade in GRADES:
            height = 4.0 + 1.8 * grade
            box = {"x": x + 10.5 * (grade - 1), "y": y + 6 - height, "width": 9.0, "height": height}
            parts.append(tag("rect", fill=grade_fill(name, grade), stroke="currentColor", stroke_width="0.8", **box))
        return group(parts)

    return draw


def _dots(x: float, y: float) -> str:
    return group([tag("circle", cx=x + 5 * place - 2, cy=y, r=0.8 + 0.35 * place) for place in (1, 2, 3)])


def _dash_marks(x: float, y: float) -> str:
    box = {"y": y - 5, "width": 11.0, "height": 10.0, "fill": "none", "stroke": "currentColor"}
    debt = tag("rect", x=x + 0.8, stroke_width="1.6", stroke_dasharray="5 3", **box)
    return debt + tag("rect", x=x + 13, stroke_width="0.7", stroke_dasharray="1.5 2.5", **box)


def _ladder(x: float, y: float) -> str:
    thin = f"M{num(x + 1)} {num(y - 7)}v14M{num(x + 8)} {num(y - 7)}v14" + "".join(
        f"M{num(x + 1)} {num(y + at)}h7" for at in (-4, 0, 4)
    )
    rung = tag("path", d=f"M{num(x - 0.5)} {num(y)}h10", stroke="currentColor", stroke_width="2.4")
    return tag("path", d=thin, stroke="currentColor", stroke_width="0.5", fill="none") + rung


def _box(fill: str) -> Sample:
    def draw(x: float, y: float) -> str:
        box = {"x": x, "y": y - 4.5, "width": 14.0, "height": 9.0}
        return tag("rect", fill=fill, stroke="currentColor", stroke_width="0.6", **box)

    return draw


def _rest(*, line: bool) -> Sample:
    def draw(x: float, y: float) -> str:
        box = {"x": x, "y": y - 3.5, "width": 20.0, "height": 7.0, "rx": "3.5"}
        shape = tag("rect", fill="none", stroke="currentColor", stroke_width="1", **box)
        inner = tag("path", d=f"M{num(x + 4)} {num(y)}h12", stroke="currentColor", stroke_width="1")
        return shape + inner if line else shape

    return draw
