"""The pictures of a sheet: each rung once, numbered in the order in which it is met."""

from collections.abc import Mapping

from everyrung.publish.figure.rung import rung_svg
from everyrung.publish.sheet.terms import FigureLine
from everyrung.terms.demand import RungDrawing
from everyrung.terms.move import Form, Rung

HEIGHT_MM = 24.0  # chosen, because at 2 cm a figure is still clear, and four fit beside a set


class Figures:
    """Numbers for rungs, and their pictures. Rungs that look alike share one."""

    def __init__(self, drawings: Mapping[Form, RungDrawing]) -> None:
        self._drawings = drawings
        self._lines: dict[str, FigureLine] = {}

    def number(self, rung: Rung) -> int:
        """The number of the rung's picture; 0 where it has none."""
        drawing = self._drawings.get(rung.form)
        if drawing is None:
            return 0
        svg = rung_svg(rung, drawing, height_mm=HEIGHT_MM)
        body = svg[svg.index("</title>") :]
        if body not in self._lines:
            self._lines[body] = FigureLine(number=len(self._lines) + 1, name=rung.name, svg=svg)
        return self._lines[body].number

    @property
    def lines(self) -> tuple[FigureLine, ...]:
        return tuple(self._lines.values())
